"""Duty states, interlocks, ambient-light sensor, dimming and electrical load: pure functions of plain values."""
