# SPDX-License-Identifier: MIT
"""schemas_tests.py [SUITE]: the published JSON against its schemas, which the documents name."""
import copy
import json
import re
import unittest

from documents import ALL, REFERENCE, ROOT
from jsonschema import Draft202012Validator
from program import Workplace

VALIDATORS = {}
for path in sorted((ROOT / "assets/docs/schemas").glob("*.schema.json")):
    schema = json.loads(path.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    VALIDATORS[path.name.removesuffix(".schema.json")] = Draft202012Validator(schema)

UNITS = {"_s": r"\bs\b|second", "_ms": r"\bms\b", "_hz": r"\bHz\b|a second", "_db": r"\bdB\b", "_mm": r"\bmm\b",
         "_c": "°C", "_lkfs": r"\bLKFS\b", "_lu": r"\bLU\b", "_semitones": "semitone", "cents": r"\bcents\b",
         "_quarter": "quarters", "_tempo": "quarters a minute", "_per_s": "a second"}

ROUGH = "tempo 132 meter 4/4 f 1/16 C5_C6_A4_B4_A4_B4_A4_B4_ G5_C4_F5_F#5_F5_F#5_C5_C6 bar pp 1/4 F6 C7 A4 1/4 trill B4"
OFF = "mf 1/4 A4_B4 C2 rest C5"
# No slur from C3 to A6 was found that the lever makes easier by what a word is said for.
UNSEEN = {"canebrake-fingering: with_left_a_flat_lever"}


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
                known = {word for enum in enums for word in json.loads(enum) if word is not None}
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
                    VALIDATORS[example["schema"]].validate(example)
                    names.add(example["schema"])
        self.assertGreaterEqual(names, {"canebrake-events", "canebrake-spots", "canebrake-waived"})


SCORES = "assets/scores/"
TRILLS = (ROOT / "assets/phrases/trills-and-graces.txt").read_text(encoding="utf-8")
SOLO = [SCORES + "solo.musicxml", "--bars", "13-18"]
DOUBLER = [SCORES + "doubler.musicxml", "--bars", "9-20"]
SECOND = [SCORES + "quartet.musicxml", "--part", "2", "--bars", "9-12"]
LOW = ["--phrase", "mf A4_B4", "--instrument", "low-C bass", "--player", "learner"]
EVENTS = ["-o", "events.wav", "--events", "events.json"]
PLAYED = [[["render", "--phrase", "tempo 72 mf 1/4 A4 B4 C5", "--player", player, "-o", player + ".wav"], None]
          for player in ("ideal", "learner")]
WRITTEN = [["remedy", "--phrase", ROUGH, "--for-instrument", "B-flat", "-o", "line.musicxml"], None]

# What the program is asked: the words, and the file it answers in (standard output if there is none). The first answer
# of each kind is mutated.
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
    "canebrake-waived": [[["spots", "--part", "1", "line.musicxml", "--waive", spots], "line.musicxml.waived.json"]
                         for spots in ("1", "all")],
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
            KEPT[schema] = [place.json(*words, file=file) for words, file in QUESTIONS[schema]]
        finally:
            place.close()
    return KEPT[schema]


class Answers(unittest.TestCase):
    def test_what_the_program_answers_is_as_its_schema_says(self):
        self.assertEqual(set(QUESTIONS), set(VALIDATORS))
        for name, validator in VALIDATORS.items():
            for (words, _), answer in zip(QUESTIONS[name], answers(name), strict=True):
                with self.subTest(schema=name, words=words):
                    self.assertEqual(answer["schema"], name)
                    errors = [f"{list(e.absolute_path)}: {e.message[:200]}" for e in validator.iter_errors(answer)]
                    self.assertEqual(errors, [])

    def test_every_writer_of_json_has_a_schema(self):
        written = set()
        for path in (ROOT / "engine").rglob("*.cpp"):
            written |= set(re.findall(r'"(canebrake-[a-z]+)"', path.read_text(encoding="utf-8")))
        self.assertEqual(written, set(VALIDATORS))

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

        for name in VALIDATORS:
            for answer in answers(name):
                see(name, answer)
        told = {(name, field) for name, validator in VALIDATORS.items() for field, _ in properties_of(validator.schema, [])}
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
        "canebrake-waived": [("waived.0", "somewhere"), ("seen.0", ""), ("waived", "all")],
        "canebrake-instruments": [("instruments.0.support", "string"), ("instruments.0.midi_program", 0), ("instruments", []),
                                  ("instruments.0.notations.0.clef", "alto"), ("instruments.0.breath_factor", 2),
                                  ("instruments.0.musicxml_sounds.0", "wood"), ("instruments.0.clarion_vents", 3)],
        "canebrake-fingering": [("asked_in", "concert"), ("question", "chord"), ("kit.level", "student"),
                                ("holes.0.x_mm", 0), ("notes.0.written.number", -1), ("instrument.name", "flute")],
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

        for name in VALIDATORS:
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
        for name in VALIDATORS:
            answer = self.small_answers(name)[0]
            for path, value in [*self.VALUES[name], ("version", 2), ("schema", "canebrake")]:
                keys = [int(key) if key.isdigit() else key for key in path.split(".")]

                def put(node, key):
                    self.assertNotEqual(node[key], value)
                    node[key] = value

                self.refused(name, answer, put, keys)


if __name__ == "__main__":
    unittest.main()
