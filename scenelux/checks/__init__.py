"""Criteria from published documents and the user's own, and the verdicts on them."""

from scenelux.checks.criteria import QUANTITIES, Rule, Zone, find_rule, own_rule
from scenelux.checks.judge import GazeSeries, VerdictCounts, counts, judge_area, judge_eye, judge_value
from scenelux.checks.limits import in_unit
from scenelux.checks.packs import read_pack, read_packs, shipped_rules
from scenelux.checks.rating import RatedGaze, judge_rating
from scenelux.checks.zones import AreaPlace

__all__ = [
    "QUANTITIES",
    "AreaPlace",
    "GazeSeries",
    "RatedGaze",
    "Rule",
    "VerdictCounts",
    "Zone",
    "counts",
    "find_rule",
    "in_unit",
    "judge_area",
    "judge_eye",
    "judge_rating",
    "judge_value",
    "own_rule",
    "read_pack",
    "read_packs",
    "shipped_rules",
]
