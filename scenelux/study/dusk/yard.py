"""Steps of the test in the yard, made from the rules: what to set, what must burn, what a meter must show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import isfinite

from scenelux.scene.switching import AMBIENT_LIGHT, StatedProperty, SwitchingText
from scenelux.study.dusk.bridge import quantity_name
from scenelux.study.dusk.matrix import Matrix
from scenelux.study.dusk.properties import stated_words
from scenelux.study.dusk.reach import Reach, key_of
from scenelux.study.results.dusk import YardStep
from scenelux.study.results.matrix import MatrixRow
from scenelux.switching.document import SwitchingDocument as Rules
from scenelux.switching.inputs import FAILED, Input, InputState, Value, input_states, says_value
from scenelux.switching.rules import Switching, decide, thresholds_for
from scenelux.switching.story import Story
from scenelux.units import format_illuminance

__all__ = ["yard_steps"]

_FAULT_WORDS = {"day": "hold its signal at bright", "night": "hold its signal at dark"}


def yard_steps(text: SwitchingText, rules: Rules, found: Reach, matrix: Matrix) -> tuple[YardStep, ...]:
    """One step for each rule, property and failed input, and three for the sensor.

    Parameters
    ----------
    text, rules : as written, and as the check takes them.
    found : inputs that show each rule and property.
    matrix : light of the levels.

    Rules that never decide and properties that never speak have no step: the check tells them.
    """
    switching, areas = rules.switching, _areas(text, matrix)
    steps: list[YardStep] = []
    for rule in text.rules:
        story = found.rules[rule.id]
        if story is not None:
            steps.append(_of_story(f'Rule "{rule.id}"', text, switching, story, matrix, areas, rule.because))
    for stated in text.properties:
        story = found.properties[stated.id]
        if story is not None:
            step = _of_story(f'Property "{stated.id}"', text, switching, story, matrix, (), stated.because)
            steps.append(_with_limit(step, text, stated))
    steps += [step for one in switching.inputs for step in _failures(text, rules, one, matrix)]
    return (*steps, *_sensor(text, switching, matrix))


def _areas(text: SwitchingText, matrix: Matrix) -> tuple[str, ...]:
    """Areas that are measured: those that properties limit, else the first of the scene."""
    named = tuple(dict.fromkeys(one.area for one in text.properties if one.area is not None))
    return named or tuple(area.area_id for area in matrix.rows[0].areas[:1])


def _of_story(
    about: str,
    text: SwitchingText,
    switching: Switching,
    story: Story,
    matrix: Matrix,
    areas: tuple[str, ...],
    because: str,
) -> YardStep:
    truth, reads = dict(story.truth), dict(story.reads)
    sets = [_to_do(text, one, truth[one.name]) for one in switching.inputs]
    sets += [_failing(switching.input(name), reads[name]) for name in story.failed]
    row = matrix.row_of(tuple(one.level for one in story.decisions))
    return YardStep(about, tuple(sets), _expects(row), tuple(_lux(row, areas)), because)


def _to_do(text: SwitchingText, one: Input, value: Value) -> str:
    if one.name != AMBIENT_LIGHT or text.sensor is None:
        return says_value(one, value)
    sensor = text.sensor
    if value in ("night", "turning night"):
        wait = "and measure at once" if value == "turning night" else f"and wait {sensor.dark_delay_s:g} s and more"
        return f"cover the sensor (below {sensor.dark_below_lx:g} lx) {wait}"
    if value in ("day", "turning day"):
        wait = "and measure at once" if value == "turning day" else f"and wait {sensor.bright_delay_s:g} s and more"
        return f"light up the sensor (above {sensor.bright_above_lx:g} lx) {wait}"
    return f"keep between {sensor.dark_below_lx:g} and {sensor.bright_above_lx:g} lx on the sensor"


def _failing(one: Input, reads: Value) -> str:
    if one.name == AMBIENT_LIGHT and reads != FAILED:
        return f"{one.name}: {_FAULT_WORDS[str(reads)]}"
    if reads == FAILED:
        return f"unplug {one.name}: the controller must tell it"
    read = says_value(one, reads)
    if reads not in one.fails_to and reads != one.normal:
        return f"unplug {one.name} at {read}, then set it back to {says_value(one, one.normal)}"
    return f"unplug {one.name}: it must read {read.removeprefix(one.name + ' ')}"


def _expects(row: MatrixRow) -> tuple[str, ...]:
    set_to = {name: f" ({setting})" for name, setting in row.settings.items()}
    lit = [
        f"{name} at {100.0 * level:.3g} %{set_to.get(name, '')}" for name, level in row.levels.items() if level > 0.0
    ]
    dark = [name for name, level in row.levels.items() if level == 0.0]
    return (*lit, *([f"off: {', '.join(dark)}"] if dark else []))


def _lux(row: MatrixRow, areas: tuple[str, ...]) -> Iterator[str]:
    for area in row.areas:
        if area.area_id in areas and isfinite(area.least_lx) and area.least_lx > 0.0:
            yield f"{area.name}: at least {_both(area.least_lx)} at every point, {_both(area.average_lx)} on average"


def _both(lux: float) -> str:
    """A meter may show either."""
    return f"{format_illuminance(lux)} ({format_illuminance(lux, 'us')})"


def _with_limit(step: YardStep, text: SwitchingText, stated: StatedProperty) -> YardStep:
    says = stated_words(text, stated)
    if stated.area is None:
        where = "; from a luminance or intensity meter, or by calculation" if stated.subject else ""
        return YardStep(step.about, step.sets, step.expects, (f"{says}{where}",), step.because)
    limit = stated.limit_in(text.units)
    assert limit is not None  # the document holds a limit where it names an area
    measure = f"{quantity_name(stated)}: the meter shows {stated.must.removeprefix('be ')} {_both(limit)}"
    return YardStep(step.about, step.sets, step.expects, (measure,), step.because)


def _failures(text: SwitchingText, rules: Rules, one: Input, matrix: Matrix) -> Iterator[YardStep]:
    """The input fails while all others are normal: one step for each thing that it can then read."""
    switching = rules.switching
    conditions = tuple(stated.when for stated in rules.properties)
    ends = thresholds_for(switching, conditions, one.name) if one.kind == "number" else []
    told: dict[Value, InputState] = {}
    for state in input_states(one, ends, switching.sensor):
        if state.failed and state.truth == one.normal:
            told.setdefault(state.reads, state)
    normal: Mapping[str, Value] = {part.name: part.normal for part in switching.inputs}
    for reads in told:
        decisions = decide(switching, {**normal, one.name: reads})
        row = matrix.by_levels.get(key_of(tuple(decision.level for decision in decisions)))
        if row is not None:
            others = [_to_do(text, part, part.normal) for part in switching.inputs]
            yield YardStep(f"{one.name} fails", (*others, _failing(one, reads)), _expects(row), (), "")


def _sensor(text: SwitchingText, switching: Switching, matrix: Matrix) -> Iterator[YardStep]:
    if text.sensor is None:
        return
    sensor = text.sensor
    normal = [_to_do(text, one, one.normal) for one in switching.inputs if one.name != AMBIENT_LIGHT]
    rows = {}
    for reads in ("day", "night"):
        readings = {one.name: one.normal for one in switching.inputs} | {AMBIENT_LIGHT: reads}
        rows[reads] = matrix.row_of(tuple(one.level for one in decide(switching, readings)))
    averaging = f", with averaging up to {5.0 * sensor.averaging_time_s:g} s more" if sensor.averaging_time_s else ""
    dark, bright = f"{sensor.dark_delay_s:g} s", f"{sensor.bright_delay_s:g} s"
    cover = f"cover the sensor and take the time: night begins after {dark}{averaging}"
    lit = f"shine more than {sensor.bright_above_lx:g} lx on the sensor: day begins after {bright}{averaging}"
    yield YardStep("Sensor turns to night", (*normal, cover), _expects(rows["night"]), (), "")
    yield YardStep("Sensor turns to day", (*normal, lit), _expects(rows["day"]), (), "")
    if sensor.bright_delay_s > 0.0:
        flash = f"cover the sensor, then pass a torch over it for less than {bright}"
        yield YardStep("Sensor does not flutter", (*normal, flash), _expects(rows["night"]), (), "")
