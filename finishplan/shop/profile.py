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
OWN = "{name}, {field}"
"""Name of one figure of a step or tool: the thing, and the field of the shop file."""
LEARNED = "{name}, removal rate"
RATE = "removal_rate_cm3_per_min"
OUR_FILE, OUR_LOG = "our shop's own figure", "our shop's own log"
"""Where the shop's own figures are from."""


@dataclass(frozen=True)
class Profile:
    """What the planner knows of a shop: steps coarse to fine, tools by way and use, policy, the rest."""

    steps: tuple[Step, ...]
    tools: dict[tuple[str, str], Tool]
    policy: Policy
    file: ShopFile
    own: tuple[str, ...] = field(default=())
    """Figures that are the shop's own, each as ``OWN`` names it; a rate that its log taught as ``LEARNED`` does."""
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
            found += [
                self.step_figure(step, "scratch_depth_um", "um", "scratch depth"),
                self.step_figure(step, RATE, "cm3/min", "removal rate"),
                self.step_figure(step, "change_min", "min", "change"),
            ]
        found += [self.speed_figure(tool, f"{tool.way} for {tool.use}, speed") for tool in self.tools.values()]
        return found + policy_figures(self.policy)

    def step_figure(self, step: Step, field: str, unit: str, words: str) -> Sourced:
        """Return one figure of a step with where it comes from; ``words`` names it."""
        return Sourced(f"{step.name}, {words}", getattr(step, field), unit,
                       *self.kind_of(step.name, field, step.source_kind, step.source))

    def speed_figure(self, tool: Tool, name: str) -> Sourced:
        """Return the speed of a tool with where it comes from."""
        kind = self.kind_of(f"{tool.way} for {tool.use}", "speed_factor", tool.source_kind, tool.note)
        return Sourced(name, tool.speed_factor, "times", *kind)

    def kind_of(self, name: str, field: str, shipped_kind: str, shipped_source: str) -> tuple[str, str]:
        """Return source kind and source of one figure of a step or tool: the shop's own where it gives that one."""
        if field == RATE and LEARNED.format(name=name) in self.own:
            return "measured here", OUR_LOG
        if OWN.format(name=name, field=field) in self.own:
            return "measured here", OUR_FILE
        return shipped_kind, shipped_source


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
        own += [OWN.format(name=base.name, field=field) for field in given]
        if base.name not in steps:
            given.setdefault("in_default_plan", True)
        steps[base.name] = replace(base, **given)
    tools = dict(profile.tools)
    for edit in shop.tools:
        profile.tool(edit.way, edit.use)
        base_tool = tools[(edit.way, edit.use)]
        given = changed_fields(edit, {"way", "use"})
        own += [OWN.format(name=f"{edit.way} for {edit.use}", field=field) for field in given]
        tools[(edit.way, edit.use)] = replace(base_tool, **tool_fields(base_tool, given))
    if shop.wet_sheets is not None:
        said = {change.step for change in shop.steps if change.wet is not None}
        steps = {name: replace(step, wet=shop.wet_sheets) if step.is_sheet and name not in said else step
                 for name, step in steps.items()}
    for name, rate in shop.learned_rates.items():
        if name not in steps:
            raise UnknownName("step", name, list(steps), "learned_rates")
        steps[name] = replace(steps[name], removal_rate_cm3_per_min=rate.rate_cm3_per_min)
        own.append(LEARNED.format(name=name))
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
