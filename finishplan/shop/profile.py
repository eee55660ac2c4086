"""One shop: its steps, tools, policy, prices and people, shipped defaults first, its own on top."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, fields, replace
from itertools import pairwise
from typing import Any

from pydantic import ValidationError

from finishplan.errors import BadValue, FinishplanError, UnknownName, as_filed
from finishplan.models import say_first
from finishplan.reference import Sourced
from finishplan.shop.policy import Policy, policy_figures
from finishplan.shop.shop_file import ShopFile
from finishplan.shop.steps import (
    COMPOUNDS,
    Step,
    Tool,
    grade_table,
    sheet_from_grade,
    shipped_steps,
    shipped_tools,
)

SHOP_FORMAT = "finishplan-shop"
SHOP_VERSION = 1


@dataclass(frozen=True)
class Profile:
    """What the planner knows of a shop: steps coarse to fine, tools by way and use, policy, the rest."""

    steps: tuple[Step, ...]
    tools: dict[tuple[str, str], Tool]
    policy: Policy
    file: ShopFile
    own: tuple[str, ...] = field(default=())
    """Names of steps and tools whose figures are the shop's own, and of single figures that are."""
    barred_repairs: tuple[str, ...] = ()
    """Repairs that are not offered here, whatever the damage: at a customer's no resin is poured."""
    memo: dict[object, Any] = field(init=False, default_factory=dict, compare=False, repr=False)
    """What others worked out from this very profile and need again; never copied to a changed one."""

    def step(self, name: str, where: str = "") -> Step:
        """Return a step by name; raises UnknownName with the choices."""
        for step in self.steps:
            if step.name == name:
                return step
        if name in grade_table():
            remedy = f'this shop does not list that grade; put {{"step": "{name}"}} among the steps of its shop file'
            raise BadValue("step", name, remedy, where)
        raise UnknownName("step", name, [s.name for s in self.steps], where)

    def tool(self, way: str, use: str) -> Tool:
        """Return a tool by way and use; raises UnknownName with the choices."""
        if (way, use) not in self.tools:
            raise UnknownName(f"tool for {use}", way, [w for w, u in self.tools if u == use])
        return self.tools[(way, use)]

    def with_steps(self, names: Iterable[str], where: str = "") -> Profile:
        """Return this profile with every named grade among its steps, worked out where no table lists it."""
        known = {step.name for step in self.steps}
        new = [named_step(name, self.policy, where) for name in dict.fromkeys(names) if name not in known]
        return replace(self, steps=in_order([*self.steps, *new])) if new else self

    def figures(self) -> list[Sourced]:
        """Return every figure of the profile with unit, kind and source."""
        found = []
        for step in self.steps:
            kind, source = self.kind_of(step.name, step.source_kind), step.source
            found += [
                Sourced(f"{step.name}, scratch depth", step.scratch_depth_um, "um", kind, source),
                self.rate_figure(step, kind),
                Sourced(f"{step.name}, change", step.change_min, "min", kind, source),
            ]
        for tool in self.tools.values():
            kind = self.kind_of(f"{tool.way} for {tool.use}", tool.source_kind)
            found.append(Sourced(f"{tool.way} for {tool.use}, speed", tool.speed_factor, "times", kind, tool.note))
        return found + policy_figures(self.policy)

    def rate_figure(self, step: Step, kind: str) -> Sourced:
        """Return a step's removal rate as a figure; it may be the shop's own where its other figures are not."""
        name = f"{step.name}, removal rate"
        source = "our shop's own log" if name in self.own else step.source
        return Sourced(name, step.removal_rate_cm3_per_min, "cm3/min", self.kind_of(name, kind), source)

    def kind_of(self, name: str, shipped_kind: str) -> str:
        """Return the source kind of a step's or tool's figures."""
        return "measured here" if name in self.own else shipped_kind


def in_order(steps: Iterable[Step]) -> tuple[Step, ...]:
    """Return steps coarse to fine."""
    return tuple(sorted(steps, key=lambda step: step.order))


def named_step(name: str, policy: Policy, where: str) -> Step:
    """Return the step a name stands for: shipped, else worked out from its grade."""
    for step in shipped_steps():
        if step.name == name:
            return step
    if name not in grade_table():
        raise UnknownName("step", name, dict.fromkeys([*(s.name for s in shipped_steps()), *grade_table()]), where)
    return sheet_from_grade(name, policy.sheet_scratch_share)


def default_profile() -> Profile:
    """Return the profile of a shop that has said nothing of itself."""
    return Profile(shipped_steps(), dict(shipped_tools()), Policy(), ShopFile())


def read_shop_dict(raw: Any) -> ShopFile:
    """Return the shop file in ``raw``; raises a FinishplanError naming place, value and remedy."""
    if not isinstance(raw, dict):
        raise FinishplanError("this is not a shop file; a shop file is one JSON object in { }")
    if "format" not in raw:
        raise FinishplanError(f'format is missing; a shop file says "format": "{SHOP_FORMAT}"')
    if raw["format"] != SHOP_FORMAT:
        raise BadValue("format", as_filed(raw["format"]), f'a shop file says "format": "{SHOP_FORMAT}"')
    version = raw.get("version")
    if version != SHOP_VERSION or isinstance(version, bool):
        raise BadValue(
            "version",
            as_filed(version),
            f"this program reads shop files of version {SHOP_VERSION}; a newer file needs a newer program",
        )
    try:
        return ShopFile.model_validate(raw)
    except ValidationError as error:
        raise say_first(error, raw, ShopFile) from None


def apply_shop(profile: Profile, raw: Any) -> Profile:
    """Return ``profile`` with the shop file in ``raw`` (a dict) laid over it.

    A step or tool is given by name with the fields it changes. Raises a FinishplanError that names the
    place, the value and the remedy.
    """
    shop = read_shop_dict(raw)
    policy = shop.policy or profile.policy
    steps = {step.name: step for step in profile.steps}
    own: list[str] = list(profile.own)
    for change in shop.steps:
        where = f"step {change.step!r}"
        base = steps.get(change.step) or named_step(change.step, policy, where)
        given = changed_fields(change, {"step"})
        if not base.is_sheet and "d50_um" in given:
            raise BadValue("d50_um", given["d50_um"], "a compound has no grain size here; drop it", where)
        if base.name not in steps:
            given.setdefault("in_default_plan", True)
        steps[base.name] = replace(base, **given)
        own.append(base.name)
    tools = dict(profile.tools)
    for edit in shop.tools:
        profile.tool(edit.way, edit.use)
        base_tool = tools[(edit.way, edit.use)]
        given = changed_fields(edit, {"way", "use"})
        tools[(edit.way, edit.use)] = replace(base_tool, **tool_fields(base_tool, given))
        own.append(f"{edit.way} for {edit.use}")
    if shop.wet_sheets is not None:
        said = {change.step for change in shop.steps if change.wet is not None}
        steps = {name: replace(step, wet=shop.wet_sheets) if step.is_sheet and name not in said else step
                 for name, step in steps.items()}
    for name, rate in shop.learned_rates.items():
        if name not in steps:
            raise UnknownName("step", name, list(steps), "learned_rates")
        steps[name] = replace(steps[name], removal_rate_cm3_per_min=rate.rate_cm3_per_min)
        own.append(f"{name}, removal rate")
    made = Profile(in_order(steps.values()), tools, policy, shop, tuple(dict.fromkeys(own)))
    return check_names(made)


def changed_fields(change: Any, names_only: set[str]) -> dict[str, Any]:
    """Return the fields that a change gives, without the ones that name the thing."""
    return {
        name: getattr(change, name)
        for name in change.model_fields_set
        if name not in names_only and getattr(change, name) is not None
    }


def tool_fields(base: Tool, given: dict[str, Any]) -> dict[str, Any]:
    """Return the changes of a tool with its three level limits folded into one tuple."""
    levels = list(base.max_level_um or (0.0, 0.0, 0.0))
    for place, compound in enumerate(COMPOUNDS):
        levels[place] = given.pop(f"max_level_{compound.split()[0]}_um", levels[place])
    if base.max_level_um is not None:
        given["max_level_um"] = tuple(levels)
    return {name: value for name, value in given.items() if name in {f.name for f in fields(Tool)}}


def check_names(profile: Profile) -> Profile:
    """Refuse a policy or tool that names a step the shop does not have; grades of the table join the steps."""
    policy = profile.policy
    known = {step.name for step in profile.steps}
    for place, names in (("barred_steps", policy.barred_steps),):
        for name in names:
            if name not in known:
                raise UnknownName("step", name, sorted(known), f"policy, {place}")
    for place, names in (("spot_ladder", policy.spot_ladder), ("fill_ladder", policy.fill_ladder)):
        ladder = [profile.step(name, f"policy, {place}") for name in names]
        if not ladder:
            raise FinishplanError(f"policy, {place}: the list is empty; name at least one sheet")
        for step in ladder:
            if not step.is_sheet:
                raise BadValue("step", step.name, "only sheets stand in it", f"policy, {place}")
        for a, b in pairwise(ladder):
            if b.order <= a.order:
                raise BadValue("step", b.name, f"it must be finer than {a.name}", f"policy, {place}")
    for tool in profile.tools.values():
        if tool.cutting_coarsest_before:
            profile.step(tool.cutting_coarsest_before, f"tool {tool.way!r}, cutting_coarsest_before")
    return profile
