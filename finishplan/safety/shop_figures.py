"""Assumed figures of the safety sums that the shop put its own in place of, each with the kind that it says."""

from __future__ import annotations

from finishplan.reference import Sourced
from finishplan.shop.policy import Policy

OUR_SHOP = "our shop's policy"


def of_shop(policy: Policy, field: str, name: str, unit: str) -> Sourced | None:
    """Return the shop's own figure in place of an assumed one, None where it left the shipped one.

    It is "measured here" only where the shop names it among ``safety_measured``; else it is still assumed.
    """
    value = float(getattr(policy, field))
    measured = field in policy.safety_measured
    if not measured and value == Policy.model_fields[field].default:
        return None
    return Sourced(name, value, unit, "measured here" if measured else "assumed", OUR_SHOP)
