"""Flash patterns as plain values: what documents write and signals compute; no numpy here."""

from scenelux.timing.grammar import parse_pattern, parse_time_us, pattern_text
from scenelux.timing.library import CommonPattern, PublishedRate, common_patterns, named_pattern, published_rates
from scenelux.timing.pattern import LONGEST_CYCLE_US, MOST_STEPS, STEADY, US_PER_S, Pattern

__all__ = [
    "LONGEST_CYCLE_US",
    "MOST_STEPS",
    "STEADY",
    "US_PER_S",
    "CommonPattern",
    "Pattern",
    "PublishedRate",
    "common_patterns",
    "named_pattern",
    "parse_pattern",
    "parse_time_us",
    "pattern_text",
    "published_rates",
]
