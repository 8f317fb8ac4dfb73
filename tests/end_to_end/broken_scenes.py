"""Scenes with one fault each: an edit of a good text, the place where the fault is told, and pieces of the sentence.

The sign ‸ in an edit marks the place to which the sentence must point; it is taken out of the text.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["BASE", "BROKEN", "Broken"]

BASE = """\
format = "scenelux scene 1"
title = "A truck to be broken"
data = "invented"
units = "us"
base = "tilted"

[site]
surface = "wet asphalt"
grade = "0 %"
posted_speed = "55 mph"
lanes = [{ id = "next", name = "Next lane", centre_left = "10 ft 6 in", width = 11 }]

[circuits]
"tail scene" = "Two tail floods"
warning = "Amber heads"

[[vehicles]]
id = "truck"
light_loss_factor = 0.8

[[vehicles.bodies]]
id = "box"
forward = ["0 ft", "24 ft"]
left = ["-4 ft", "4 ft"]
up = ["1 ft 6 in", "8 ft"]

[[vehicles.lamps]]
id = "tail-left"
luminaire = "tail-flood-round"
position = ["-3 in", "38 in", "7 ft 9 in"]
heading = "180 deg"
tilt = "-35 deg"
circuit = "tail scene"

[[vehicles.lamps]]
id = "tail-right"
luminaire = "tail-flood-round"
position = ["-3 in", "-38 in", "7 ft 9 in"]
heading = "180 deg"
tilt = "-34 deg"
circuit = "tail scene"

[[vehicles]]
id = "second"
position = ["20 m", "0 m"]
like = "truck"

[states.working]
say = "Crew at the rear"
circuits = { "tail scene" = 1.0 }

[light.night]
say = "Night"
ambient = "0.1 lx"
adaptation_luminance = "0.1 cd/m2"
factors = { "tail scene" = "80 %" }

[[areas]]
id = "rear"
of = "truck"
forward = ["-10 ft", "0 ft"]
left = ["-5 ft", "5 ft"]
plane = "horizontal"
grid = { spacing = "1 ft" }

[[eyes]]
id = "car-next"
lane = "next"
from = "150 m"
to = "20 m"
height = "1.08 m"
gaze = ["road", "1 deg down"]

[[criteria]]
rule = "nfpa_rear_average"
area = "rear"

[[criteria]]
id = "veil"
quantity = "veiling luminance"
statistic = "maximum"
sense = "at most"
limit = 0.3
unit = "cd/m2"
because = "Agreed."
eye = "car-next"

[variants.flat]
say = "Level"
changes = [{ circuit = "tail scene", tilt = "0 deg" }]

[variants.up]
say = "Up"
based_on = "flat"
changes = [{ lamps = ["tail-left"], tilt = "5 deg" }]
"""

MARK = "‸"


@dataclass(frozen=True)
class Broken:
    """One fault: the old and new text of the edit, and what the sentence must contain."""

    name: str
    old: str
    new: str
    pieces: tuple[str, ...]

    @property
    def text(self) -> str:
        """The broken document."""
        return self._marked().replace(MARK, "")

    @property
    def place(self) -> tuple[int, int]:
        """Line and column to which the sentence points."""
        before = self._marked().partition(MARK)[0]
        return before.count("\n") + 1, len(before) - before.rfind("\n")

    def _marked(self) -> str:
        assert BASE.count(self.old) == 1, f"{self.name}: {BASE.count(self.old)} places to edit"
        assert self.new.count(MARK) == 1, f"{self.name}: mark the place of the fault"
        return BASE.replace(self.old, self.new)


def _edit(name: str, old: str, new: str, *pieces: str) -> Broken:
    return Broken(name, old, new, pieces)


_QUANTITIES = [
    _edit("wrong dimension of a position", '["-3 in", "38 in"', '["-3 in", ‸"38 lx"',
          "vehicles[0].lamps[0].position[1]", '"38 lx" is an illuminance, not a length', "38 in"),
    _edit("decimal comma", '"1.08 m"', '‸"1,08 m"', "eyes[0].height", "decimal comma", '"1.08 m"'),
    _edit("decimal comma of a bare number", "limit = 0.3", "limit = 0‸,3", "a number has a comma", "such as 20.5"),
    _edit("decimal comma in a list", '["20 m", "0 m"]', "[-0,0‸5, 0,8]", "a number has a comma", "such as 20.5"),
    _edit("decimal comma in a longer list", '["20 m", "0 m"]', "‸[20,5, 0,8]", "too many parts", "such as 20.5"),
    _edit("decimal comma in a table", 'width = 11 }', "width = 11,5 ‸}", "decimals with a point, such as 20.5"),
    _edit("comma of thousands", '"0.1 lx"', '‸"10,000 lx"', "comma", '"10000 lx"'),
    _edit("twelve inches and more", '"-38 in", "7 ft 9 in"', '"-38 in", ‸"7 ft 14 in"', "12 inches or more"),
    _edit("inches without a unit", '"-38 in", "7 ft 9 in"', '"-38 in", ‸"7 ft 9"', "inches without their unit"),
    _edit("text that is nan", '"150 m"', '‸"nan"', "eyes[0].from", "is not a finite number"),
    _edit("number that is nan", "limit = 0.3", "limit = ‸nan", "criteria[1].limit", "nan is not a finite number"),
    _edit("number that is infinite", 'width = 11', "width = ‸inf", "site.lanes[0].width", "inf is not a finite number"),
    _edit("number too large", '"55 mph"', '‸"1e400 mph"', "site.posted_speed", "too large"),
    _edit("true for a level", '{ "tail scene" = 1.0 }', '{ "tail scene" = ‸true }',
          'states.working.circuits."tail scene"', "true is not a ratio"),
    _edit("speed in knots", '"55 mph"', '‸"55 kn"', 'has "kn" where a unit is expected', "55 mph"),
    _edit("text without a unit", '"150 m"', '‸"150"', "has no unit", "a length"),
    _edit("angle in words", '"-35 deg"', '‸"35 deg down"', "lamps[0].tilt", '"-35 deg"'),
    _edit("date for a length", 'width = 11', "width = ‸2024-05-01", "2024-05-01 is not a length"),
    _edit("table for an angle", '"-35 deg"', "‸{ deg = -35 }", "is not an angle"),
]  # fmt: skip
_RANGES = [
    _edit("tilt beyond straight up", '"-35 deg"', '‸"-95 deg"', "out of range", "from -90 to 90 deg"),
    _edit("grade beyond 30 %", '"0 %"', '‸"45 %"', "site.grade", "out of range", "-0.3 to 0.3"),
    _edit("grade that was meant in percent", '"0 %"', "‸10", "site.grade 10", "out of range", 'did you mean "10 %"'),
    _edit("speed beyond any vehicle", '"55 mph"', "‸900", "site.posted_speed", "up to 201 mph"),
    _edit("light loss factor above 1", "= 0.8", "= ‸1.2", "vehicles[0].light_loss_factor 1.2", "up to 1"),
    _edit("level above 1", '"80 %"', '‸"180 %"', 'light.night.factors."tail scene"', "from 0 to 1"),
    _edit("lamp below the ground", '"38 in", "7 ft 9 in"', '"38 in", ‸"-2 ft"', "position[2]", "from 0 to 328 ft"),
    _edit("eye without height", '"1.08 m"', '‸"0 m"', "eyes[0].height", "above 0 ft"),
    _edit("from and to the wrong way round", '["-10 ft", "0 ft"]', '‸["0 ft", "-10 ft"]',
          "areas[0].forward", "does not rise", "smaller end first"),
    _edit("eye that comes no nearer", '[[eyes]]\nid = "car-next"\nlane = "next"\nfrom = "150 m"',
          '‸[[eyes]]\nid = "car-next"\nlane = "next"\nfrom = "10 m"', "eyes[0] comes no nearer", "larger from than to"),
    _edit("absurd grid", "{ spacing = \"1 ft\" }", '‸{ spacing = "0.5 mm" }',
          "areas[0].grid", "points", "larger spacing", "1,000,000"),
    _edit("absurd counts", "{ spacing = \"1 ft\" }", "‸{ counts = [100000, 100000] }", "10,000,000,000 points"),
    _edit("absurd step", 'to = "20 m"', 'to = "20 m"\nstep = ‸"0.1 mm"', "eyes[0].step", "stations", "larger step"),
    _edit("grid too fine to be counted", "{ spacing = \"1 ft\" }", '‸{ spacing = "1e-310 mm" }',
          "areas[0].grid", "points", "larger spacing"),
    _edit("a little too many stations", 'to = "20 m"', 'to = "20 m"\nstep = ‸"12 mm"',
          "eyes[0].step", "more than 10,000 stations"),
    _edit("absurd spacing of a framed plan", "[variants.flat]",
          '[map]\nforward = ["-20 m", "20 m"]\nleft = ["-20 m", "20 m"]\nspacing = ‸"1 mm"\n[variants.flat]',
          "map.spacing", "points", "larger spacing", "1,000,000"),
    _edit("absurd spacing of a plan", "[variants.flat]", '[map]\nspacing = ‸"1 mm"\n[variants.flat]',
          "map.spacing", "points", "larger spacing", "1,000,000"),
    _edit("half a point", "{ spacing = \"1 ft\" }", "{ counts = [2, ‸2.5] }", "counts[1]", "whole number"),
]  # fmt: skip
_KEYS = [
    _edit("unknown key of a lamp", 'tilt = "-35 deg"', '‸tild = "-35 deg"',
          "vehicles[0].lamps[0].tild", 'did you mean "tilt"'),
    _edit("unknown key for one that must be there", 'heading = "180 deg"\ntilt = "-34 deg"',
          '‸headding = "180 deg"\ntilt = "-34 deg"', "vehicles[0].lamps[1].headding", 'did you mean "heading"'),
    _edit("unknown table", "[variants.flat]", "‸[varants.flat]", "varants", 'did you mean "variants"'),
    _edit("missing heading",
          '[[vehicles.lamps]]\nid = "tail-right"\nluminaire = "tail-flood-round"\n'
          'position = ["-3 in", "-38 in", "7 ft 9 in"]\nheading = "180 deg"\n',
          '‸[[vehicles.lamps]]\nid = "tail-right"\nluminaire = "tail-flood-round"\n'
          'position = ["-3 in", "-38 in", "7 ft 9 in"]\n',
          "vehicles[0].lamps[1].heading is missing", "an angle from -360 to 360 deg"),
    _edit("missing title", 'format = "scenelux scene 1"\ntitle = "A truck to be broken"\n',
          '‸format = "scenelux scene 1"\n', "title is missing", "one line of text"),
    _edit("missing light loss factor", "light_loss_factor = 0.8\n\n[[vehicles.bodies]]\n" 'id = "box"\n'
          'forward = ["0 ft", "24 ft"]\nleft = ["-4 ft", "4 ft"]\nup = ["1 ft 6 in", "8 ft"]\n\n[[vehicles.lamps]]',
          "\n‸[[vehicles.lamps]]", "vehicles[0].lamps[0].light_loss_factor is missing", "1 more problem follows"),
    _edit("unknown word", 'plane = "horizontal"', 'plane = ‸"horizontl"',
          "areas[0].plane", 'did you mean "horizontal"'),
    _edit("number for text", 'title = "A truck to be broken"', "title = ‸5", "title 5 is not text"),
    _edit("text for a table", '{ spacing = "1 ft" }', '‸"1 ft"', "areas[0].grid", "is not a table", "spacing"),
    _edit("text for a list", '["-10 ft", "0 ft"]', '‸"10 ft"', "areas[0].forward", "is not a list", "a list of 2"),
    _edit("two numbers for a position", '["-3 in", "38 in", "7 ft 9 in"]', '‸["-3 in", "38 in"]',
          "lamps[0].position", "too few parts", "give 3: a length from -16404 to 16404 ft"),
    _edit("four numbers for a position", '["-3 in", "38 in", "7 ft 9 in"]', '‸["-3 in", "38 in", "7 ft 9 in", 0]',
          "lamps[0].position", "too many parts", "give 3"),
    _edit("name with a slash", 'id = "rear"', 'id = ‸"rear/left"', "areas[0].id", "is not a name"),
    _edit("another format", '"scenelux scene 1"', '‸"scenelux scene 9"', "format", 'format = "scenelux scene 1"'),
    _edit("two grids", '{ spacing = "1 ft" }', '‸{ spacing = "1 ft", rule = "published" }', "one grid"),
    _edit("vertical plane without facing", '[[areas]]\nid = "rear"\nof = "truck"\n',
          '‸[[areas]]\nid = "rear"\nof = "truck"\nfacing = "rear"\n', "areas[0]", "has a facing"),
    _edit("facing beyond any number", "[[criteria]]\nrule",
          f'[[windows]]\nid = "w"\nposition = [1, 9, 1]\nfacing = ‸[1{"0" * 400}, 0, 0]\n[[criteria]]\nrule',
          "windows[0].facing", "is not a direction"),
    _edit("facing of no length", "[[criteria]]\nrule",
          '[[windows]]\nid = "w"\nposition = [1, 9, 1]\nfacing = ‸[0, 0, 0]\n[[criteria]]\nrule',
          "windows[0].facing", "is not horizontal"),
    _edit("eye that looks nowhere", '"1 deg down"', '‸"backwards"', "eyes[0].gaze[1]", "line of sight", "vehicle"),
]  # fmt: skip
_NAMES = [
    _edit("lamp id twice", 'id = "tail-right"', 'id = ‸"tail-left"', "vehicles[0].lamps[1].id", "is used twice",
          "vehicles[0].lamps[0].id"),
    _edit("vehicle id twice", 'id = "second"', 'id = ‸"truck"', "vehicles[1].id", "is used twice"),
    _edit("area ids that give one file name", "[[eyes]]",
          '[[areas]]\nid = ‸"REAR"\nforward = [0, 1]\nleft = [0, 1]\nplane = "horizontal"\n[[eyes]]',
          "areas[1].id", 'gives the same file names as "rear"', "rename one"),
    _edit("eye ids that give one file name", "[[criteria]]\nrule",
          '[[eyes]]\nid = ‸"car next"\nat = [1, 1, 1]\n[[criteria]]\nrule', "eyes[1].id", "same file names"),
    _edit("window ids that give one file name", "[[criteria]]\nrule",
          '[[windows]]\nid = "w 1"\nposition = [1, 9, 1]\nfacing = "right"\n'
          '[[windows]]\nid = ‸"W_1"\nposition = [1, 9, 1]\nfacing = "right"\n[[criteria]]\nrule',
          "windows[1].id", 'gives the same file names as "w 1"'),
    _edit("states that give one file name", "[light.night]",
          '‸[states.Working]\nsay = "Again"\ncircuits = {}\n[light.night]',
          "states.Working", 'gives the same file names as "working"'),
    _edit("lights that give one file name", "[[areas]]",
          '‸[light.NIGHT]\nsay = "Again"\nambient = 1\nadaptation_luminance = 1\n[[areas]]',
          "light.NIGHT", 'gives the same file names as "night"'),
    _edit("variant that gives the file names of the base", "[variants.up]", "‸[variants.TILTED]",
          "variants.TILTED", 'gives the same file names as "tilted"'),
    _edit("state and light that give one file name", "[light.night]",
          '[states.working-dim]\nsay = "Dim"\ncircuits = {}\n'
          '‸[light.dim-night]\nsay = "Dim"\nambient = 1\nadaptation_luminance = 1\n[light.night]',
          "light.dim-night", 'with "working" gives the same file names as "working-dim" with "night"'),
    _edit("opposite lane on the wrong side", 'posted_speed = "55 mph"\nlanes = [{ id = "next",',
          'posted_speed = "55 mph"\nlanes = [\n{ id = "far", centre_left = ‸"9 ft", width = 11, '
          'direction = "opposite" }, { id = "next",',
          "site.lanes[0].centre_left", "right-hand traffic", "left of every lane"),
    _edit("opposite lane on the wrong side for left-hand traffic", 'posted_speed = "55 mph"\nlanes = [{ id = "next",',
          'traffic_side = "left"\nlanes = [{ id = "far", centre_left = ‸"21 ft", width = 11, direction = "opposite" }, '
          '{ id = "next",',
          "site.lanes[0].centre_left", "left-hand traffic", "right of every lane"),
    _edit("unknown circuit of a lamp", 'tilt = "-34 deg"\ncircuit = "tail scene"',
          'tilt = "-34 deg"\ncircuit = ‸"tail scen"', "lamps[1].circuit", 'did you mean "tail scene"'),
    _edit("unknown circuit of a state", '{ "tail scene" = 1.0 }', '{ ‸"side scene" = 1.0 }',
          'states.working.circuits."side scene"', "is not a circuit"),
    _edit("unknown lane", 'lane = "next"', 'lane = ‸"nxt"', "eyes[0].lane", "is not a lane", 'did you mean "next"'),
    _edit("unknown vehicle of an area", 'of = "truck"', 'of = ‸"trailer"',
          "areas[0].of", "is not the site or a vehicle"),
    _edit("unknown body of an area", 'plane = "horizontal"', 'plane = "horizontal"\non = ‸"deck"',
          "areas[0].on", "is not a body of truck", "box"),
    _edit("unknown rule", '"nfpa_rear_average"', '‸"nfpa_rear_averag"', "criteria[0].rule", "nfpa_rear_average"),
    _edit("rule on an eye", 'rule = "nfpa_rear_average"\narea = "rear"',
          'rule = ‸"nfpa_rear_average"\neye = "car-next"',
          "criteria[0].rule", "is judged on an area"),
    _edit("unknown area of a rule", '\narea = "rear"', '\narea = ‸"front"', "criteria[0].area", "is not an area"),
    _edit("unknown state of a rule", '\narea = "rear"', '\narea = "rear"\nstates = ["working", ‸"driving"]',
          "criteria[0].states[1]", "is not a duty state", "working"),
    _edit("unknown unit of an own rule", 'unit = "cd/m2"', 'unit = ‸"cd"',
          'criteria[1].unit "cd" is not a unit of veiling luminance', 'give "cd/m2"'),
    _edit("unknown quantity of an own rule", 'quantity = "veiling luminance"', 'quantity = ‸"veiling luminace"',
          "criteria[1].quantity", 'did you mean "veiling luminance"'),
    _edit("unknown statistic of an own rule", 'statistic = "maximum"', 'statistic = ‸"largest"',
          'criteria[1].statistic "largest" is not a statistic of veiling luminance', 'give "maximum"'),
    _edit("own rule with half of its keys", '[[criteria]]\nid = "veil"\nquantity = "veiling luminance"\n',
          '‸[[criteria]]\nid = "veil"\n', "criteria[1] has no quantity", "give rule, or all of id"),
    _edit("unknown surface", '"wet asphalt"', '‸"wet asfalt"', "site.surface", 'did you mean "wet asphalt"'),
    _edit("unknown luminaire", 'id = "tail-left"\nluminaire = "tail-flood-round"',
          'id = "tail-left"\nluminaire = ‸"tail-flood-rund"', "lamps[0].luminaire", 'did you mean "tail-flood-round"'),
    _edit("missing photometric file", 'id = "tail-left"\nluminaire = "tail-flood-round"',
          'id = "tail-left"\nluminaire = ‸"nothing.ies"', "lamps[0].luminaire", "is not a file"),
    _edit("photometric file of another format", 'id = "tail-left"\nluminaire = "tail-flood-round"',
          'id = "tail-left"\nluminaire = ‸"nothing.ldt"', "lamps[0].luminaire", "paths start at the folder"),
    _edit("made like itself", 'like = "truck"', 'like = ‸"second"',
          "vehicles[1].like", "is not a vehicle above this one"),
    _edit("unknown lamp of a variant", '["tail-left"]', '["tail-left", ‸"tail-middle"]',
          "variants.up.changes[0].lamps[1]", "is not a lamp"),
    _edit("circular variants", 'say = "Level"\n', 'say = "Level"\nbased_on = ‸"up"\n',
          "variants.flat.based_on", "circle"),
    _edit("variant named as the base", "[variants.up]", "‸[variants.tilted]",
          "variants.tilted", "is used twice", "base"),
    _edit("variant that changes nothing", '{ lamps = ["tail-left"], tilt = "5 deg" }', '‸{ lamps = ["tail-left"] }',
          "variants.up.changes[0]", "changes nothing"),
]  # fmt: skip
_PLACES = [
    _edit("lamp inside a body", '["-3 in", "38 in", "7 ft 9 in"]', '‸["3 in", "38 in", "7 ft 9 in"]',
          'the lamp "tail-left" 3 in deep inside the body "box" of truck', "surface"),
    _edit("lamp inside another vehicle", '["-3 in", "38 in", "7 ft 9 in"]', '‸["20.5 m", "38 in", "7 ft 9 in"]',
          'inside the body "box" of second'),
    _edit("variant that moves a lamp into a body", '["tail-left"], tilt = "5 deg"',
          '["tail-left"], position = ‸[1, 0, 5]', "variants.up.changes[0].position", "1 ft deep inside"),
    _edit("person inside a body", "[[criteria]]\nrule",
          '[[people]]\nid = "w"\nof = "truck"\nposition = ‸[10, 2]\n[[criteria]]\nrule',
          'people[0].position [10, 2] puts "w" inside the body "box" of truck'),
    _edit("cone inside the second vehicle", "[[criteria]]\nrule",
          '[[objects]]\nid = "c"\nkind = "cone"\nposition = ‸["21 m", 0, "1.2 m"]\n[[criteria]]\nrule',
          'puts "c" inside the body "box" of second'),
    _edit("polygon of two corners", 'forward = ["-10 ft", "0 ft"]\nleft = ["-5 ft", "5 ft"]',
          "polygon = ‸[[0, 0], [-10, 0]]", "areas[0].polygon", "has 2 corners"),
    _edit("polygon whose edges cross", 'forward = ["-10 ft", "0 ft"]\nleft = ["-5 ft", "5 ft"]',
          "polygon = ‸[[0, 0], [-10, 5], [-10, 0], [0, 5]]", "areas[0].polygon", "edges that cross"),
]  # fmt: skip
_SYNTAX = [
    _edit("text without its quote", 'id = "second"', 'id = "second‸', "closing quote"),
    _edit("key twice", '"80 %" }', '"80 %" }\nsay = "Night"‸', "given twice"),
    _edit("key without a value", 'posted_speed = "55 mph"', "posted_speed ‸", "a key has no value"),
    _edit("bare word", 'id = "second"', "id = ‸second", "this value is not TOML"),
    _edit("list without its end", 'position = ["20 m", "0 m"]\nlike', 'position = ["20 m", "0 m"\n‸like', "closing ]"),
]  # fmt: skip

BROKEN: tuple[Broken, ...] = (*_QUANTITIES, *_RANGES, *_KEYS, *_NAMES, *_PLACES, *_SYNTAX)
