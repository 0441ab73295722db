# SPDX-License-Identifier: MIT
"""schemas_tests.py [SUITE]: the published JSON against its schemas, which the documents name."""
import copy
import itertools
import json
import os
import re
import subprocess
import sys
import unittest

from documents import ALL, REFERENCE, ROOT
from jsonschema import Draft202012Validator
from library import (BROKEN_OFF, DONE, LIBRARY, OFF_RANGE, UNREADABLE, USAGE, Line, answer_of, answered, ask,
                     bytes_of)
from program import Workplace

VALIDATORS = {}
for path in sorted((ROOT / "assets/docs/schemas").glob("*.schema.json")):
    schema = json.loads(path.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    VALIDATORS[path.name.removesuffix(".schema.json")] = Draft202012Validator(schema)
ASKED = "canebrake-question"  # by whoever calls the library; all others are answers
ANSWERS = {name: validator for name, validator in VALIDATORS.items() if name != ASKED}

UNITS = {"_s": r"\bs\b|second", "_ms": r"\bms\b", "_hz": r"\bHz\b|a second", "_db": r"\bdB\b", "_mm": r"\bmm\b",
         "_c": "°C", "_lkfs": r"\bLKFS\b", "_lu": r"\bLU\b", "_semitones": "semitone", "cents": r"\bcents\b",
         "_quarter": "quarters", "_tempo": "quarters a minute", "_per_s": "a second"}

ROUGH = "tempo 132 meter 4/4 f 1/16 C5_C6_A4_B4_A4_B4_A4_B4_ G5_C4_F5_F#5_F5_F#5_C5_C6 bar pp 1/4 F6 C7 A4 1/4 trill B4"
OFF = "mf 1/4 A4_B4 C2 rest C5"
# No slur from C3 to A6 was found that the lever makes easier by what a word is said for.
UNSEEN = {"canebrake-fingering: with_left_a_flat_lever", "canebrake-waived: key"}


def properties_of(node, found):
    """Every property that a schema speaks of, as (name, its schema)."""
    if isinstance(node, dict):
        for name, value in node.get("properties", {}).items():
            if "if" not in node or "description" in value or "type" in value or "$ref" in value:
                found.append((name, value))
        for value in node.values():
            properties_of(value, found)
    elif isinstance(node, list):
        for value in node:
            properties_of(value, found)
    return found


class Schemas(unittest.TestCase):
    def test_nothing_unknown_is_let_through(self):
        def objects(node):
            if isinstance(node, dict):
                if node.get("type") == "object":
                    yield node
                for value in node.values():
                    yield from objects(value)
            elif isinstance(node, list):
                for value in node:
                    yield from objects(value)

        for name, validator in VALIDATORS.items():
            for node in objects(validator.schema):
                if node is validator.schema and "oneOf" in node:
                    continue  # its kinds are strict each
                if set(node) <= {"type"}:
                    continue  # of a condition
                with self.subTest(schema=name, properties=list(node.get("properties", {}))[:3]):
                    self.assertIs(node.get("additionalProperties"), False)
                    if name != ASKED:  # there everything may be left out
                        self.assertEqual(set(node["required"]), set(node["properties"]))

    def test_what_has_a_unit_says_so(self):
        for name, validator in VALIDATORS.items():
            for field, schema in properties_of(validator.schema, []):
                unit = next((unit for end, unit in sorted(UNITS.items(), key=lambda u: -len(u[0]))
                             if field.endswith(end)), None)
                if unit and "description" in schema and "sentence" not in field:
                    with self.subTest(schema=name, field=field):
                        self.assertRegex(schema["description"], unit)

    def test_each_is_told_of_with_every_field_and_word(self):
        told = {code.text for code in REFERENCE["formats"].inline_code}
        words = {word.strip('"') for piece in told for word in [piece, *piece.split()]}
        links = {target for target, _ in REFERENCE["formats"].links}
        for name, validator in VALIDATORS.items():
            with self.subTest(schema=name):
                self.assertIn(f"schemas/{name}.schema.json", links)
                fields = {field for field, _ in properties_of(validator.schema, [])}
                self.assertEqual(fields - words, set())
                enums = set(re.findall(r'"enum": (\[[^\]]*\])', json.dumps(validator.schema)))
                known = {word for enum in enums for word in json.loads(enum) if word}
                self.assertEqual(known - told, set())


class Examples(unittest.TestCase):
    def test_each_in_the_documents_is_whole_and_valid(self):
        names = set()
        for document in ALL:
            for code in document.code:
                if code.language != "json":
                    continue
                with self.subTest(document=document.name, line=code.line):
                    example = json.loads(code.text)
                    ANSWERS[example["schema"]].validate(example)
                    names.add(example["schema"])
        self.assertGreaterEqual(names, {"canebrake-events", "canebrake-spots", "canebrake-waived"})


SCORES = "assets/scores/"
TRILLS = (ROOT / "assets/phrases/trills-and-graces.txt").read_text(encoding="utf-8")
SOLO = [SCORES + "solo.musicxml", "--bars", "13-18"]
DOUBLER = [SCORES + "doubler.musicxml", "--bars", "9-20"]
SECOND = [SCORES + "quartet.musicxml", "--part", "2", "--bars", "9-12"]
LOW = ["--phrase", "mf A4_B4", "--instrument", "low-C bass", "--player", "learner"]
EVENTS = ["-o", "events.wav", "--events", "events.json"]
CROSSING = "tempo 132 1/8 A4_B4_A4_B4 A4_B4_A4_B4 1/4 C5 rest"
# A Standard MIDI File of one track: one note, nothing said of tempo or meter.
MIDI_WITHOUT_TEMPO = (b"MThd\0\0\0\6\0\0\0\1\0\x60MTrk\0\0\0\x0c" b"\0\x90\x45\x50\x60\x80\x45\0" b"\0\xff\x2f\0")
PLAYED = [[["render", "--phrase", "tempo 72 mf 1/4 A4 B4 C5", "--player", player, "-o", player + ".wav"], None]
          for player in ("ideal", "learner")]
WRITTEN = [["remedy", "--phrase", ROUGH, "--for-instrument", "B-flat", "-o", "line.musicxml"], None]

# What is asked: the words for the program and the file it answers in (standard output if there is none), or a call of the
# library. The first answer of each kind is mutated.
QUESTIONS = {
    "canebrake-events": [[["render", "--phrase", "A4_B4", *EVENTS], "events.json"],
                         *[[["render", *line, *EVENTS], "events.json"]
                           for line in (SOLO, DOUBLER, SECOND, ["--phrase", OFF], [*LOW, "--bits", "float"],
                                        [SCORES + "quartet.mid", "--part", "track 5", "--bars", "9-10"],
                                        ["odd.musicxml", "--part", "1"])]],
    "canebrake-spots": [[["spots", *line, "--json"], None]
                        for line in (["--phrase", ROUGH], [SCORES + "quartet.musicxml"], SOLO, DOUBLER, LOW,
                                     ["odd.musicxml"], ["--phrase", TRILLS], ["--phrase", OFF],
                                     ["--phrase", ROUGH, "--reading", "prepared", "--player", "learner"])],
    "canebrake-waived": [[["spots", "--part", "1", "line.musicxml", "--waive", spots, "--because", "on purpose"],
                          "line.musicxml.waived.json"]
                         for spots in ("1", "all")]
                        + [[["spots", "--part", "2", "odd.musicxml", "--waive", "all"], "odd.musicxml.waived.json"]],
    "canebrake-remedy": [[["remedy", *line, "--json"], None]
                         for line in (SECOND, [SCORES + "solo.musicxml", "--bars", "16-18", "--most", "6"],
                                      ["--phrase", "mf A4 C2 A4"])],
    "canebrake-clarinets": [[["remedy", *line, "--which-clarinet", "--json"], None]
                            for line in (["--phrase", "A4_B4"], SECOND)],
    "canebrake-instruments": [[["instruments", "low-C bass", "--json"], None], [["instruments", "--json"], None]],
    "canebrake-fingering": [[["fingering", *words, "--json"], None]
                            for words in (["F#5"], ["A4", "B4"], ["--trill", "A4", "B4"], ["E3"], ["C#6"], ["G6"],
                                          ["F3", "F#3"], ["B3", "C#4"], ["C5", "C6"], ["G6", "E3"],
                                          ["--trill", "B3", "C#4"], ["--trill", "F#5", "G#5"],
                                          ["--trill", "C3", "D3", "--instrument", "low-C bass"],
                                          ["D4", "--pitch", "sounding", "--kit", "assets/kits/plain.toml"])],
    "canebrake-parts": [[lambda: Line("C5").opened, None],
                        *[[lambda file=file: Line(file=SCORES + file).opened, None]
                          for file in ("quartet.mxl", "doubler.musicxml", "solo.mid")],
                        [lambda: Line(data=MIDI_WITHOUT_TEMPO).opened, None]],
    "canebrake-taken": [[lambda: Line(CROSSING + " 1/3+1/47 C5_D5").take({"take": ["1.1"]})[0], None],
                        [lambda: Line(file=SCORES + "quartet.musicxml").take({"part": "2", "take": ["1.2"]})[0], None]],
    "canebrake-sound": [[lambda: Line(OFF).sound({})[0], None],
                        [lambda: Line(file=SCORES + "doubler.musicxml").sound({"from_bar": 9, "to_bar": 12})[0], None]],
    "canebrake-compare": [[["compare", *words, "--json"], None]
                          for words in (["--notes", "A4", "--dynamics", "mf", "--instrument", "B-flat,A"],
                                        ["--phrase", "A4_B4"],
                                        ["--notes", "C3,E3,C7", "--dynamics", "pp,ff", "--instrument", "low-C bass,B-flat"],
                                        ["--notes", "D4", "--pitch", "sounding", "--player", "learner,ideal"],
                                        SECOND, ["--phrase", OFF])]
                         + [[["compare", "ideal.wav", "learner.wav", "-o", "recordings.json"], "recordings.json"]],
}
FIRST = {"canebrake-waived": [WRITTEN], "canebrake-compare": PLAYED}  # what must be there before


def odd_score():
    """What no score we ship has: a flute before the clarinet in one part, two parts of one player, a rehearsal mark, no
    slur and no dynamic anywhere."""
    def note(name, length, instrument=None):
        kind = {1: "16th", 4: "quarter"}[length]
        who = f'<instrument id="{instrument}"/>' if instrument else ""
        return (f"<note><pitch><step>{name[0]}</step><octave>{name[1]}</octave></pitch><duration>{length}</duration>{who}"
                f"<type>{kind}</type></note>")

    def part(number, transposed, bars):
        head = (f"<attributes><divisions>4</divisions>{transposed}</attributes>"
                '<direction><sound tempo="132"/></direction>')
        mark = "<direction><direction-type><rehearsal>K</rehearsal></direction-type></direction>"
        measures = "".join(f'<measure number="{i + 1}">{head if i == 0 else mark if i == 1 else ""}{bar}</measure>'
                           for i, bar in enumerate(bars))
        return f'<part id="P{number}">{measures}</part>'

    rest = '<note><rest measure="yes"/><duration>16</duration></note>'
    quick = "".join(note(name, 1) for name in ["G4", "D5", "A4", "D5"] * 4)
    flute = "".join(note("C6", 4, "P1-I1") for _ in range(4))
    slow = "".join(note("C5", 4, "P1-I2") for _ in range(4))
    b_flat = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    in_a = "<transpose><diatonic>-2</diatonic><chromatic>-3</chromatic></transpose>"
    heads = [("Flute and clarinet", ["Flute", "Clarinet in B♭"]), ("Clarinet 1 in B♭", []), ("Clarinet 1 in A", [])]
    listed = "".join(
        f'<score-part id="P{i + 1}"><part-name>{name}</part-name>' +
        "".join(f'<score-instrument id="P{i + 1}-I{n + 1}"><instrument-name>{word}</instrument-name></score-instrument>'
                for n, word in enumerate(words)) + "</score-part>" for i, (name, words) in enumerate(heads))
    return ('<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list>' + listed + "</part-list>" +
            part(1, "", [flute, rest, slow]) + part(2, b_flat, [quick, quick, rest, rest]) +
            part(3, in_a, [rest, rest, rest, quick]) + "</score-partwise>")


KEPT = {}


def answers(schema):
    """Real answers of the program, of every kind the schema has; each question is asked once."""
    if schema not in KEPT:
        place = Workplace()
        (place.folder / "odd.musicxml").write_text(odd_score(), encoding="utf-8")
        try:
            for words, _ in FIRST.get(schema, []):
                done = place.run(*words)
                if done.returncode != 0:
                    raise AssertionError(done.stderr)
            KEPT[schema] = [words() if callable(words) else place.json(*words, file=file)
                            for words, file in QUESTIONS[schema]]
        finally:
            place.close()
    return KEPT[schema]


class Answers(unittest.TestCase):
    def test_what_the_program_answers_is_as_its_schema_says(self):
        self.assertEqual(set(QUESTIONS), set(ANSWERS))
        for name, validator in ANSWERS.items():
            for (words, _), answer in zip(QUESTIONS[name], answers(name), strict=True):
                with self.subTest(schema=name, words=words):
                    self.assertEqual(answer["schema"], name)
                    errors = [f"{list(e.absolute_path)}: {e.message[:200]}" for e in validator.iter_errors(answer)]
                    self.assertEqual(errors, [])

    def test_every_writer_of_json_has_a_schema(self):
        written = set()
        for path in (ROOT / "engine").rglob("*.cpp"):
            written |= set(re.findall(r'"(canebrake-[a-z]+)"', path.read_text(encoding="utf-8")))
        self.assertEqual(written, set(ANSWERS))

    def test_they_hold_what_the_schemas_speak_of(self):
        """Every field was seen with a value, but for those that nothing here calls for."""
        seen = set()

        def see(name, node):
            if isinstance(node, dict):
                for field, value in node.items():
                    if value is not None and value != []:
                        seen.add((name, field))
                    see(name, value)
            elif isinstance(node, list):
                for value in node:
                    see(name, value)

        for name in ANSWERS:
            for answer in answers(name):
                see(name, answer)
        told = {(name, field) for name, validator in ANSWERS.items() for field, _ in properties_of(validator.schema, [])}
        self.assertEqual({f"{name}: {field}" for name, field in told - seen}, UNSEEN)


class Mutations(unittest.TestCase):
    """Each schema refuses its own answers once anything is wrong with them."""

    VALUES = {
        "canebrake-events": [("notes.0.start_s", -1), ("notes.0.dynamic.level", 9), ("notes.0.dynamic.name", "loud"),
                             ("notes.0.written.number", 200), ("notes.0.written.name", "H4"), ("player", "student"),
                             ("notes.0.fingering", "T X9"), ("notes.0.instrument", "flute"), ("audio.bits", "32"),
                             ("audio.rate_hz", 8000), ("a4_hz", 44), ("temperature_c", -300), ("seed", 1.5),
                             ("notes.0.measured", None), ("notes.0.silent", True), ("line.phrase", None)],
        "canebrake-spots": [("parts.0.spots.0.cause", "squeak"), ("parts.0.spots.0.grade", "easy"),
                            ("parts.0.spots.0.times", 0), ("parts.0.spots.0.exposure_weight", 2),
                            ("parts.0.spots.0.from.beat", -1), ("parts.0.risky", -1), ("reading", "by heart"),
                            ("parts.0.spots.0.if", "perhaps"), ("parts.0.spots.0.sentence", ""), ("parts", [])],
        "canebrake-remedy": [("spots.0.remedies.0.kind", "magic"), ("spots.0.remedies.0.number", "2"),
                             ("spots.0.remedies.0.grade_before", "easy"), ("spots.0.remedies.0.left", "none"),
                             ("spots.0.remedies.0.instrument", "flute"), ("spots.0.cause", "squeak"), ("spot_count", -1)],
        "canebrake-clarinets": [("clarinets.0.name", "flute"), ("clarinets.0.key_fifths", 8), ("clarinets", []),
                                ("clarinets.0.registers.throat", 1.5), ("clarinets.0.written_low", "h")],
        "canebrake-waived": [("waived.0.cause", "squeak"), ("seen.0.bar", 1), ("waived", "all"), ("waived.0.notes.0", "H4 1"),
                             ("waived.0.if", "perhaps")],
        "canebrake-instruments": [("instruments.0.support", "string"), ("instruments.0.midi_program", 0), ("instruments", []),
                                  ("instruments.0.notations.0.clef", "alto"), ("instruments.0.breath_factor", 2),
                                  ("instruments.0.musicxml_sounds.0", "wood"), ("instruments.0.clarion_vents", 3)],
        "canebrake-fingering": [("asked_in", "concert"), ("question", "chord"), ("kit.level", "student"),
                                ("holes.0.x_mm", 0), ("notes.0.written.number", -1), ("instrument.name", "flute")],
        "canebrake-parts": [("parts", []), ("parts.0.notes", -1), ("parts.0.for_clarinet", "yes"), ("parts.0.instrument", ""),
                            ("remarks", [""])],
        "canebrake-taken": [("taken", []), ("taken.0.number", "1.13"), ("taken.0.what", ""), ("before.risky", -1)],
        "canebrake-sound": [("rate", 8000), ("samples", 1.5), ("instruments", ""), ("remarks", ["so"])],
        "canebrake-compare": [("kind", "chords"), ("a4_hz", 44), ("sides.0.notes.0.tones.0.words", ["odd"]),
                              ("sides.0.player", "student"), ("sides.0.instrument", "flute"), ("differences.0.against", 1)],
    }
    # Of these kinds more than one answer is mutated: each has a shape of its own.
    SHAPES = {"canebrake-fingering": 3, "canebrake-compare": 2}

    def small_answers(self, name):
        return answers(name)[:self.SHAPES.get(name, 1)]

    def places(self, node, path=()):
        """Every value, by its path; of a list the first item only."""
        items = node.items() if isinstance(node, dict) else list(enumerate(node))[:1] if isinstance(node, list) else ()
        for key, value in items:
            yield (*path, key)
            yield from self.places(value, (*path, key))

    @staticmethod
    def at(node, path):
        for key in path:
            node = node[key]
        return node

    def refused(self, name, answer, change, path):
        wrong = copy.deepcopy(answer)
        change(self.at(wrong, path[:-1]), path[-1])
        with self.subTest(schema=name, path=path):
            self.assertFalse(VALIDATORS[name].is_valid(wrong), "let through")

    def test_a_missing_an_unknown_and_a_misshapen_field_are_refused(self):
        def take_away(node, key):
            del node[key]

        def misshape(node, key):
            node[key] = {"no": "such thing"}

        def add(node, key):
            node[key]["unheard-of"] = 1

        for name in ANSWERS:
            for answer in self.small_answers(name):
                self.assertTrue(VALIDATORS[name].is_valid(answer))
                wrong = {**answer, "unheard-of": 1}
                self.assertFalse(VALIDATORS[name].is_valid(wrong))
                for path in self.places(answer):
                    self.refused(name, answer, misshape, path)
                    if isinstance(path[-1], str):
                        self.refused(name, answer, take_away, path)
                    if isinstance(self.at(answer, path), dict):
                        self.refused(name, answer, add, path)

    def test_a_value_out_of_its_range_is_refused(self):
        for name in ANSWERS:
            answer = self.small_answers(name)[0]
            for path, value in [*self.VALUES[name], ("version", 9), ("schema", "canebrake")]:
                keys = [int(key) if key.isdigit() else key for key in path.split(".")]

                def put(node, key):
                    self.assertNotEqual(node[key], value)
                    node[key] = value

                self.refused(name, answer, put, keys)


class Face(unittest.TestCase):
    """The library says of a line what the program says of it."""

    # What may differ. A sound that is fetched has no file.
    MAY_DIFFER = {"canebrake-events": {("audio", "file"): (None, "events.wav")}}

    def setUp(self):
        self.place = Workplace()
        self.addCleanup(self.place.close)

    def same(self, from_face, words, file=None):
        from_program = self.place.json(*words, file=file)
        schema = from_program["schema"]
        with self.subTest(words=words):
            self.assertEqual([e.message[:200] for e in ANSWERS[schema].iter_errors(from_face)], [])
            for (outer, inner), values in self.MAY_DIFFER.get(schema, {}).items():
                self.assertEqual((from_face[outer].pop(inner), from_program[outer].pop(inner)), values)
            self.assertEqual(from_face, from_program)

    def test_of_a_typed_phrase(self):
        line, phrase = Line(CROSSING), ["--phrase", CROSSING]
        self.same(line.ask("spots"), ["spots", *phrase, "--json"])
        self.same(line.ask("spots", {"reading": "prepared", "player": "learner", "least": "risky"}),
                  ["spots", *phrase, "--json", "--reading", "prepared", "--player", "learner", "--min", "risky"])
        self.same(line.ask("remedies", {"most": 5}), ["remedy", *phrase, "--most", "5", "--json"])
        self.same(line.ask("clarinets"), ["remedy", *phrase, "--which-clarinet", "--json"])
        self.same(line.ask("compare"), ["compare", *phrase, "--json"])
        self.same(line.ask("compare", {"instruments": ["A", "B-flat"], "tempo": 100}),
                  ["compare", *phrase, "--instrument", "A,B-flat", "--tempo", "100", "--json"])
        self.same(line.sound({"measure": True, "seed": 7, "a4": 442})[2],
                  ["render", *phrase, "--seed", "7", "--a4", "442", "--bits", "float", *EVENTS], "events.json")

    def test_of_a_score_under_its_name(self):
        solo, quartet = SCORES + "solo.musicxml", SCORES + "quartet.mid"
        line, bars = Line(file=solo), {"from_bar": 16, "to_bar": 18}
        self.same(line.ask("spots"), ["spots", solo, "--json"])
        self.same(line.ask("remedies", {**bars, "spot": 1}), ["remedy", solo, "--bars", "16-18", "--spot", "1", "--json"])
        self.same(line.ask("clarinets", bars), ["remedy", solo, "--bars", "16-18", "--which-clarinet", "--json"])
        self.same(line.ask("compare", {**bars, "players": ["learner"]}),
                  ["compare", solo, "--bars", "16-18", "--player", "learner", "--json"])
        self.same(Line(file=quartet).sound({"part": "track 5", "from_bar": 9, "to_bar": 10, "measure": True})[2],
                  ["render", quartet, "--part", "track 5", "--bars", "9-10", "--bits", "float", *EVENTS], "events.json")

    def test_of_a_score_under_another_name_all_but_that(self):
        path = SCORES + "quartet.musicxml"
        answer = Line(file=path, name="Quartett").ask("spots")
        self.assertEqual(answer["line"].pop("file"), "Quartett")
        expected = self.place.json("spots", path, "--json")
        self.assertEqual(expected["line"].pop("file"), path)
        self.assertEqual(answer, expected)
        ANSWERS["canebrake-spots"].validate(Line(file=path, name="").ask("spots", {"part": "2"}))

    def test_without_a_line(self):
        def face(function, question, *before):
            return answered(*ask(function, *before, bytes_of(question), *([None] if before else [])))

        self.same(face("compare", {"notes": ["A4", "Bb4"], "dynamics": ["pp", "f"], "instruments": ["bass", "A"]}, None),
                  ["compare", "--notes", "A4,Bb4", "--dynamics", "pp,f", "--instrument", "bass,A", "--json"])
        for question, words in (({"notes": ["F#5"]}, ["F#5"]), ({"notes": ["A4", "B4"], "trill": True}, ["--trill", "A4", "B4"]),
                                ({"notes": ["D4", "E4"], "instrument": "bass", "pitch": "sounding"},
                                 ["D4", "E4", "--instrument", "bass", "--pitch", "sounding"])):
            self.same(face("fingering", question), ["fingering", *words, "--json"])
        kit = (ROOT / "assets/kits/plain.toml").read_text(encoding="utf-8")
        self.same(face("fingering", {"notes": ["C5"], "kit": kit}),
                  ["fingering", "C5", "--kit", "assets/kits/plain.toml", "--json"])
        self.same(face("instruments", None), ["instruments", "--json"])
        self.same(face("instruments", {"instrument": "bass"}), ["instruments", "bass", "--json"])

    def test_a_sound_is_as_long_as_it_says_and_a_changed_line_is_whole(self):
        said, count, _ = Line(CROSSING).sound({"rate": 96000})
        self.assertEqual((said["samples"], said["rate"]), (count, 96000))
        said, changed = Line(CROSSING).take({"take": ["1.1"]})
        self.assertEqual([taken["number"] for taken in said["taken"]], ["1.1"])
        for line in changed:
            ANSWERS["canebrake-parts"].validate(line.ask("parts"))
            ANSWERS["canebrake-spots"].validate(line.ask("spots"))


KINDS = ("line", "comparison", "held_notes", "fingering", "family")
OF_KIND = {kind: VALIDATORS[ASKED].evolve(schema={**VALIDATORS[ASKED].schema, "anyOf": [{"$ref": f"#/$defs/{kind}"}]})
           for kind in KINDS}
PLACE = {"part": "P1", "cause": "rocking", "if": None, "bar": "1", "beat": 1, "notes": ["F4 0.5", "C5 0.5"], "before": [],
         "after": ["Bb4 1"], "reason": None}
LIST = {"schema": "canebrake-waived", "version": 2, "waived": [PLACE], "seen": []}
LEVEL = 'level = "learner"'
# One of each kind with all it may hold.
WHOLE = {
    "line": {"part": "1", "from_bar": 1, "to_bar": 1, "pitch": "written", "tempo": 96.5, "instrument": "A", "on": "B-flat",
             "kit": LEVEL, "player": "ideal", "reading": "prepared", "a4": 442, "temperature": 20.5, "barrel_mm": 0.5,
             "seed": 3, "rate": 44100, "least": "risky", "spot": 1, "most": 5, "take": ["1.1"], "waived": LIST,
             "format": "midi", "for_player": True, "packed": True, "measure": True},
    "comparison": {"part": "1", "from_bar": 1, "to_bar": 1, "pitch": "sounding", "tempo": 96, "instruments": ["A", "bass"],
                   "players": ["ideal", "learner"], "player": "ideal", "kit": LEVEL, "a4": 442, "temperature": 20,
                   "barrel_mm": 1, "seed": 3, "rate": 96000},
    "held_notes": {"notes": ["A4"], "dynamics": ["mf"], "instruments": ["A"], "players": ["ideal"], "pitch": "sounding",
                   "player": "ideal", "kit": LEVEL, "a4": 442, "temperature": 20, "barrel_mm": 1, "seed": 3, "rate": 96000},
    "fingering": {"notes": ["A4", "B4"], "trill": True, "instrument": "A", "pitch": "sounding", "player": "ideal",
                  "kit": LEVEL},
    "family": {"instrument": "bass"},
}
VALUES = [None, True, False, 0, 1, 2, -1, 1.0, 1.5, 12, 13, 1e300, 2**63 - 1, 2**63, -2**63, "", "1", [], [1], [None], [[]], {},
          {"no": "such thing"}, ["1.1", "1.1"], ["0.1"], ["01.1"], ["1.0"], ["1.12"], ["1.13"], ["1.1 "], ["100000.1"],
          ["100001.1"], ["A4"], ["A4", "B4"], ["A4", "B4", "C5"], ["H4"], ["A44"], ["mf"], ["mf", "pp", "mf"], ["niente"],
          ["A"], ["A", "A"], ["a"], ["Bb"], [""], ["bass", "A-flat"], ["ideal"], ["ideal", "ideal"], ["student"],
          {**LIST, "version": 3}, {**LIST, "version": "2"}, {**LIST, "seen": "all"}, {**LIST, "schema": "canebrake"},
          {**LIST, "waived": [1]}, {key: LIST[key] for key in ("schema", "version", "seen")}]


class Questions(unittest.TestCase):
    """The library takes what the schema takes, and no more."""

    @classmethod
    def setUpClass(cls):
        cls.line = Line(CROSSING)

    def taken(self, kind, question):
        """Whether the library understands it. What is understood may still ask for a note or a clarinet that is not there."""
        fault, text = answer_of(kind, json.dumps(question), self.line)
        if fault in (DONE, BROKEN_OFF, OFF_RANGE):
            return True
        self.assertIn(fault, (USAGE, UNREADABLE), text)
        field = text.decode().split(":")[0]
        return field not in ("question", *question)

    def both(self, kind, question):
        with self.subTest(kind=kind, question=question):
            valid = OF_KIND[kind].is_valid(question)
            self.assertEqual(self.taken(kind, question), valid)
            return valid

    def test_the_definitions_name_the_fields_that_are_told(self):
        defs = VALIDATORS[ASKED].schema["$defs"]
        told = {row[0].strip("`"): set(re.findall("`([^`]+)`", row[1])) for table in REFERENCE["formats"].tables
                if table.head == ["kind", "fields"] for row in table.rows}
        self.assertEqual(told.pop("line"), set())  # they have a table of their own
        self.assertEqual(told, {kind: set(defs[kind]["properties"]) for kind in KINDS[1:]})
        self.assertEqual({kind: set(defs[kind]["properties"]) for kind in KINDS},
                         {kind: set(question) for kind, question in WHOLE.items()})
        kept = VALIDATORS["canebrake-waived"].schema["$defs"]
        self.assertEqual([defs["waived_place"], defs["seen_place"], defs["waived_key"]],
                         [kept["accepted"], kept["seen"], kept["old"]])

    def test_a_good_one_is_taken_whole_and_field_by_field(self):
        for kind, question in WHOLE.items():
            self.assertTrue(self.both(kind, question))
            for field, value in question.items():
                needed = {"notes": question["notes"]} if kind == "fingering" else {}
                self.assertTrue(self.both(kind, {**needed, field: value}))
                self.assertTrue(VALIDATORS[ASKED].is_valid({**needed, field: value}))

    def test_one_value_is_refused_by_both_or_by_none(self):
        verdicts = []
        for kind, question in WHOLE.items():
            for field in question:
                if field in ("from_bar", "to_bar"):
                    question = {**question, "from_bar": None, "to_bar": None}
                schema = VALIDATORS[ASKED].schema["$defs"][kind]["properties"][field]
                edges = [schema[edge] + step for edge in ("minimum", "maximum") if edge in schema
                         for step in ((-1, 0, 1) if "integer" in schema["type"] else (-1e-9, 0, 1e-9))]
                words = [word for word in schema.get("enum", []) if word]
                for value in [*VALUES, *edges, *words, *[word.upper() for word in words]]:
                    if field == "kit" and value == "1":
                        continue  # a text, but no kit: see below
                    verdicts.append(self.both(kind, {**question, field: value}))
        self.assertGreater(verdicts.count(True), 250)
        self.assertGreater(verdicts.count(False), 2000)

    def test_every_clarinet_by_its_own_name_only(self):
        for member in answers("canebrake-instruments")[1]["instruments"]:
            self.assertTrue(self.both("family", {"instrument": member["name"]}))
            for other in [*member["aliases"], member["name"].swapcase(), member["name"] + " "]:
                self.assertFalse(self.both("family", {"instrument": other}))

    def test_every_name_of_a_note(self):
        octaves = ["", "-2", "-1", "-0", *map(str, range(11))]
        for letter, sign, octave in itertools.product("ABCDEFGHcb", ["", "#", "##", "###", "b", "bb", "#b"], octaves):
            self.both("held_notes", {"notes": [letter + sign + octave]})
            # With a trill that is no trill nothing is worked out.
            self.both("fingering", {"notes": [letter + sign + octave] * 2, "trill": True})

    def test_an_unknown_field_and_one_of_another_kind_are_refused(self):
        fields = {field: value for question in WHOLE.values() for field, value in question.items()}
        for kind, question in WHOLE.items():
            for field, value in {**fields, "unheard-of": 1, "Tempo": 96, "schema": ASKED}.items():
                if field not in question:
                    self.assertFalse(self.both(kind, {**question, field: value}))
            self.assertFalse(self.both(kind, {**question, "unheard-of": None}))

    def test_what_only_one_of_them_knows(self):
        # The question; whether the schema takes it; whether the library does.
        for question, valid, taken in (({"from_bar": 2, "to_bar": 1}, True, False),
                                       ({"kit": "reed = 3"}, True, False),
                                       ({"waived": {**LIST, "unheard-of": 1}}, False, True),
                                       ({"waived": {**LIST, "waived": [{**PLACE, "cause": "squeak"}]}}, False, True)):
            with self.subTest(question=question):
                self.assertEqual((OF_KIND["line"].is_valid(question), self.taken("line", question)), (valid, taken))

    def test_what_is_no_object_is_refused(self):
        for kind in KINDS:
            for text in ("[]", "1", "null", '"tempo"', "{", "{}}", '{"part": "\\ud800"}', "[" * 100000,
                         '{"tempo": ' + "[" * 100000 + "]" * 100000 + "}"):
                with self.subTest(kind=kind, text=text[:20]):
                    fault, said = answer_of(kind, text, self.line)
                    self.assertEqual(fault, USAGE)
                    self.assertNotIn(b"\n", said)


class Doors(unittest.TestCase):
    """What the documents say of the C face."""

    KIND = {"canebrake_compare": "comparison", "canebrake_compare without": "held_notes", "canebrake_fingering": "fingering",
            "canebrake_instruments": "family"}

    def functions(self):
        for table in REFERENCE["formats"].tables:
            if table.head[0] == "function":
                for row in table.rows:
                    yield row[0], re.findall("`([^`]+)`", row[0]), re.findall("`([^`]+)`", row[2])

    def test_every_function_that_answers_is_told_of(self):
        header = (ROOT / "engine/workbench/c_face.h").read_text(encoding="utf-8")
        self.assertEqual(set(re.findall(r"canebrake_answer (canebrake_\w+)", header)),
                         {name for _, names, _ in self.functions() for name in names})

    def test_each_question_that_is_shown_is_valid_and_answered(self):
        line, tried = Line(CROSSING), 0
        for cell, (name, *_), questions in self.functions():
            kind = self.KIND.get(name + (" without" if "without" in cell else ""), "line")
            for text in questions:
                with self.subTest(function=cell, question=text):
                    question = json.loads(text)
                    self.assertTrue(OF_KIND[kind].is_valid(question))
                    tried += 1
                    function = name.removeprefix("canebrake_")
                    if function == "take":
                        self.assertTrue(line.take(question)[1])
                    elif function == "sound_open":
                        self.assertTrue(line.sound(question)[2]["notes"])
                    elif kind in ("fingering", "family"):
                        answered(*ask(function, text.encode()))
                    else:
                        of = None if kind == "held_notes" else line.pointer
                        fault, said = ask(function, of, text.encode(), None)
                        self.assertEqual(fault, DONE, said)
        self.assertGreater(tried, 8)

    def test_each_question_of_an_example_program_is_valid(self):
        tried = 0
        for path in (ROOT / "assets/examples").glob("*.c*"):
            for text in re.findall(r"'(\{.*?\})'", path.read_text(encoding="utf-8")):
                with self.subTest(file=path.name, question=text):
                    self.assertTrue(VALIDATORS[ASKED].is_valid(json.loads(text)))
                    tried += 1
        self.assertGreater(tried, 0)

    def test_the_lines_of_python_run(self):
        tried = 0
        for document in ALL:
            for code in document.code:
                if code.language == "python":
                    with self.subTest(document=document.name, line=code.line):
                        done = subprocess.run([sys.executable, "-B", "-c", code.text], capture_output=True, text=True,
                                              env={**os.environ, "LD_LIBRARY_PATH": str(LIBRARY.parent)}, timeout=60)
                        self.assertEqual(done.returncode, 0, done.stderr)
                        self.assertRegex(done.stdout, r"^\d+(\.\d+)?\n$")
                        tried += 1
        self.assertGreater(tried, 0)


if __name__ == "__main__":
    unittest.main()
