# SPDX-License-Identifier: MIT
"""schemas_tests.py [SUITE]: the published JSON against its schemas, which the documents name."""
import copy
import json
import re
import unittest

from documents import ALL, REFERENCE, ROOT, code_words
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
        told = set(code_words(REFERENCE["formats"].text))
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
        self.assertEqual(names, set(VALIDATORS))


class AtWork(unittest.TestCase):
    def setUp(self):
        self.place = Workplace()
        self.addCleanup(self.place.close)

    def lines(self):
        """Ways to name a line: the scores and phrases we ship, rough and strange ones."""
        scores = sorted((self.place.folder / "assets/scores").glob("*.musicxml"))
        yield from ([str(score.relative_to(self.place.folder))] for score in scores)
        for phrase in sorted((ROOT / "assets/phrases").glob("*.txt")):
            yield ["--phrase", phrase.read_text(encoding="utf-8")]
        yield ["--phrase", ROUGH]
        yield ["--phrase", OFF]

    def one_part(self, line):
        """The same for a command that takes one part only."""
        return line if line[0] == "--phrase" or self.place.run("render", *line, "-o", "one.wav").returncode != 4 \
            else [*line, "--part", self.clarinet_of(line[0])]

    def clarinet_of(self, score):
        names = re.findall(r"<part-name[^>]*>([^<]*)<", (self.place.folder / score).read_text(encoding="utf-8"))
        return str(1 + next(i for i, name in enumerate(names) if "larinet" in name))

    def answers(self, schema):
        """Real answers of the program, of every kind the schema has."""
        json_of = self.place.json
        if schema == "canebrake-events":
            for line in self.lines():
                yield json_of("render", *self.one_part(line), "-o", "e.wav", "--events", "e.json", file="e.json")
            yield json_of("render", "--phrase", "A4_B4", "--instrument", "low-C bass", "--player", "learner", "--bits",
                          "float", "-o", "e.wav", "--events", "e.json", file="e.json")
        elif schema == "canebrake-spots":
            for line in self.lines():
                yield json_of("spots", *line, "--json")
            yield json_of("spots", "--phrase", ROUGH, "--reading", "prepared", "--player", "learner", "--json")
        elif schema == "canebrake-remedy":
            for line in self.lines():
                yield json_of("remedy", *self.one_part(line), "--json")
            yield json_of("remedy", "--phrase", ROUGH, "--most", "12", "--json")
        elif schema == "canebrake-clarinets":
            for line in self.lines():
                if line != ["--phrase", OFF]:
                    yield json_of("remedy", *self.one_part(line), "--which-clarinet", "--json")
        elif schema == "canebrake-waived":
            words = ["spots", "--part", "1", "line.musicxml"]
            made = self.place.run("remedy", "--phrase", ROUGH, "--for-instrument", "B-flat", "-o", "line.musicxml")
            self.assertEqual(made.returncode, 0, made.stderr)
            for spots in ("1", "all"):
                self.assertEqual(self.place.run(*words, "--waive", spots).returncode, 0)
                yield json.loads((self.place.folder / "line.musicxml.waived.json").read_text(encoding="utf-8"))
        elif schema == "canebrake-instruments":
            yield json_of("instruments", "--json")
            yield json_of("instruments", "bass", "--json")
        elif schema == "canebrake-fingering":
            for note in ("E3", "F#4", "A4", "F#5", "C#6", "G6"):
                yield json_of("fingering", note, "--json")
            for slur in (["A4", "B4"], ["F3", "F#3"], ["B3", "C#4"], ["C5", "C6"], ["G6", "E3"]):
                yield json_of("fingering", *slur, "--json")
                if slur[1] != "E3":
                    yield json_of("fingering", "--trill", *slur, "--json")
            yield json_of("fingering", "--trill", "C3", "D3", "--instrument", "low-C bass", "--json")
            yield json_of("fingering", "D4", "--pitch", "sounding", "--kit", "assets/kits/plain.toml", "--json")
        elif schema == "canebrake-compare":
            yield json_of("compare", "--notes", "A4,B4", "--dynamics", "pp,ff", "--instrument", "B-flat,A", "--json")
            yield json_of("compare", "--notes", "C3,E3,C7", "--dynamics", "mf", "--instrument", "low-C bass,B-flat", "--json")
            yield json_of("compare", "--notes", "D4", "--pitch", "sounding", "--player", "learner,ideal", "--json")
            for line in self.lines():
                yield json_of("compare", *self.one_part(line), "--json")
            for player in ("ideal", "learner"):
                self.place.run("render", "--phrase", "tempo 72 mf 1/4 A4 B4 C5", "--player", player, "-o", player + ".wav")
            yield json_of("compare", "ideal.wav", "learner.wav", "-o", "c.json", file="c.json")
        else:
            raise AssertionError(f"no answers to {schema} are made")


class Answers(AtWork):
    def test_what_the_program_answers_is_as_its_schema_says(self):
        for name, validator in VALIDATORS.items():
            count = 0
            for answer in self.answers(name):
                with self.subTest(schema=name, answer=count):
                    self.assertEqual(answer["schema"], name)
                    errors = [f"{list(e.absolute_path)}: {e.message[:200]}" for e in validator.iter_errors(answer)]
                    self.assertEqual(errors, [])
                count += 1
            self.assertGreater(count, 1)

    def test_the_rough_line_has_what_the_schemas_speak_of(self):
        spots = self.place.json("spots", "--phrase", ROUGH, "--json")["parts"][0]["spots"]
        self.assertGreater(len(spots), 3)
        self.assertTrue(any(spot["heard"] for spot in spots))
        self.assertTrue(any(spot["remedies"] for spot in self.place.json("remedy", "--phrase", ROUGH, "--json")["spots"]))


class Mutations(AtWork):
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
    SMALL = {
        "canebrake-fingering": [["fingering", "F#5"], ["fingering", "A4", "B4"], ["fingering", "--trill", "A4", "B4"]],
        "canebrake-compare": [["compare", "--notes", "A4", "--dynamics", "mf", "--instrument", "B-flat,A"],
                              ["compare", "--phrase", "A4_B4"]],
        "canebrake-spots": [["spots", "--phrase", ROUGH]],
        "canebrake-remedy": [["remedy", "--phrase", ROUGH, "--most", "1"]],
        "canebrake-clarinets": [["remedy", "--phrase", "A4_B4", "--which-clarinet"]],
        "canebrake-instruments": [["instruments", "low-C bass"]],
    }

    def small_answers(self, name):
        if name in self.SMALL:
            return [self.place.json(*words, "--json") for words in self.SMALL[name]]
        if name == "canebrake-events":
            return [self.place.json("render", "--phrase", "A4_B4", "-o", "m.wav", "--events", "m.json", file="m.json")]
        return list(self.answers(name))[-1:]

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
