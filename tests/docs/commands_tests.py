# SPDX-License-Identifier: MIT
"""commands_tests.py [SUITE]: what the documents say of the command line, tried on the program."""
import csv
import io
import re
import resource
import signal
import subprocess
import time
import tomllib
import unittest

from documents import FOR_USERS, README, REFERENCE, ROOT, code_words
from program import PROGRAM, SANITIZED, Workplace

VERBS = ["render", "spots", "remedy", "compare", "play", "fingering", "instruments"]
CODES = range(9)

TWO_PARTS = """<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0">
<part-list><score-part id="P1"><part-name>Clarinet 1</part-name></score-part>
<score-part id="P2"><part-name>Clarinet 2</part-name></score-part></part-list>
%s</score-partwise>
""" % "".join(f"""<part id="{part}"><measure number="1"><attributes><divisions>1</divisions></attributes>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration></note></measure></part>
""" for part in ("P1", "P2"))


class AtWork(unittest.TestCase):
    def setUp(self):
        self.place = Workplace()
        self.addCleanup(self.place.close)


def joined_lines(text):
    return text.replace("\\\n", " ").split("\n")


def commands_of(document):
    """Each command line, with the exit code that is said after it (`# exit code 7`); 0 if none is."""
    lines = [(code.line, line) for code in document.code if code.language in ("", "sh")
             for line in joined_lines(code.text)]
    lines += [(code.line, code.text) for code in document.inline_code]
    for at, line in lines:
        if line.startswith("canebrake "):
            said = re.search(r"# exit code (\d)$", line)
            yield at, line, int(said[1]) if said else 0


def runs_of(document):
    """Each command of a document, run once in its order in one folder: (its line, the command, the code that is said,
    what came of it). A command that would sound is left out."""
    if document.name not in RUNS:
        place = Workplace()
        try:
            RUNS[document.name] = [(line, command, code, place.type(command))
                                   for line, command, code in commands_of(document)
                                   if not command.startswith("canebrake play")]
        finally:
            place.close()
    return RUNS[document.name]


RUNS = {}


class Commands(AtWork):
    def test_each_that_is_printed_runs_and_returns_the_code_that_is_said(self):
        tried = 0
        for document in FOR_USERS:
            for line, command, code, done in runs_of(document):
                with self.subTest(document=document.name, line=line, command=command):
                    self.assertEqual(done.returncode, code, done.stderr)
                    tried += 1
        self.assertGreater(tried, 30)

    def test_one_that_would_sound_is_understood(self):
        tried = 0
        for document in FOR_USERS:
            for line, command, _ in commands_of(document):
                if command.startswith("canebrake play"):
                    with self.subTest(document=document.name, line=line, command=command):
                        done = self.place.type(command + " --device 'no such device'")
                        self.assertIn(done.returncode, (0, 8) if "--list-devices" in command else (8,), done.stderr)
                        tried += 1
        self.assertGreater(tried, 2)

    def test_a_command_that_is_wrong_is_found(self):
        self.assertEqual(self.place.type("canebrake render --nonsense").returncode, 2)
        self.assertEqual(self.place.type("canebrake spots --phrase 'A4'  # exit code 7").returncode, 0)


def without_numbers(text):
    return re.sub(r"[−+-]?\d+([.,]\d+)?", "0", " ".join(text.split()))


DRAWN = re.compile(r"[○│╭╰]|^ (left|right) hand   ")  # here every column counts


def faults_of_output(document):
    """Pieces of ```output``` that the command above does not print, its numbers aside; and how many blocks there are."""
    runs = {command: done.stdout for _, command, _, done in runs_of(document)}
    faults, shown, command = [], 0, None
    for code in document.code:
        if code.language in ("", "sh"):
            lines = [line for line in joined_lines(code.text) if line.startswith("canebrake ")]
            command = lines[-1] if lines else command
        elif code.language == "output":
            printed, lines = without_numbers(runs[command]), runs[command].splitlines()
            faults += [(code.line, piece) for piece in code.text.split("…") if without_numbers(piece) not in printed]
            faults += [(code.line, line) for line in code.text.splitlines() if DRAWN.search(line) and line not in lines]
            shown += 1
    return faults, shown


class Output(AtWork):
    """A block ```output``` shows what the command above it prints: its words, not its numbers."""

    def test_what_is_shown_is_what_is_printed(self):
        total = 0
        for document in FOR_USERS:
            with self.subTest(document=document.name):
                faults, shown = faults_of_output(document)
                self.assertEqual(faults, [])
                total += shown
        self.assertGreater(total, 5)

    def test_another_word_and_a_hole_out_of_place_are_found(self):
        changed = REFERENCE["commands"].with_change(" fingers   │                       ● ● ●", " fingers   │                      ● ● ●")
        self.assertEqual(len(faults_of_output(changed)[0]), 1)
        self.assertEqual(len(faults_of_output(README.with_change("to and fro over the break in bar", "over it in bar"))[0]), 1)


def options_in_help(place, verb):
    text = place.run(verb, "--help").stdout
    options = set(re.findall(r"^  (?:-h,)?(--?[a-z][a-z0-9-]*)", text, re.MULTILINE))
    return options - {"--help"}


def options_of_the_tables(document, heading):
    named = set()
    for table in document.tables:
        if table.section == heading and table.head[0] == "option":
            for row in table.rows:
                named |= {word.split()[0] for word in code_words(row[0])}
    return named


def options_told(document, verb):
    """Those in the tables of the verb, and in those of the shared tables to which it links."""
    told = options_of_the_tables(document, verb)
    for shared in re.findall(r"\]\(#(options-[a-z-]+)\)", document.section(verb)):
        heading = next(h for h, _ in document.sections if h.lower().replace(" ", "-") == shared)
        told |= options_of_the_tables(document, heading)
    return told


class Options(AtWork):
    def test_the_tables_of_each_verb_name_exactly_what_its_help_prints(self):
        for verb in VERBS:
            with self.subTest(verb=verb):
                self.assertEqual(options_told(REFERENCE["commands"], verb), options_in_help(self.place, verb))

    def test_an_option_too_many_or_too_few_is_found(self):
        for verb, old, new in (("render", "| `--bits 24` |", "| `24 bits` |"), ("play", "`--a4 440`", "`--a4`, `--a5`"),
                               ("fingering", "| `--ascii` |", "| `--plain` |")):
            with self.subTest(verb=verb):
                changed = REFERENCE["commands"].with_change(old, new)
                self.assertNotEqual(options_told(changed, verb), options_in_help(self.place, verb))

    def test_every_verb_of_the_help_has_a_section(self):
        text = self.place.run("--help").stdout
        block = text.split("Subcommands:\n")[1].split("\n\n")[0]
        self.assertEqual(sorted(re.findall(r"^  (\w+)", block, re.MULTILINE)), sorted(VERBS))


def codes_told(document):
    return {int(row[0]): row[1].replace("`", "") for table in document.tables if table.head[0] == "code" for row in table.rows}


class ExitCodes(AtWork):
    def in_help(self):
        block = self.place.run("--help").stdout.split("Exit codes:\n")[1]
        return {int(code): words for code, words in re.findall(r"^  (\d)  (.*)$", block, re.MULTILINE)}

    def test_the_document_says_what_the_help_says(self):
        told = codes_told(REFERENCE["exit-codes"])
        self.assertEqual(told, self.in_help())
        self.assertEqual(sorted(told), list(CODES))

    def test_they_are_those_of_the_source(self):
        source = (ROOT / "cli/options/exit_codes.h").read_text(encoding="utf-8")
        values = re.search(r"enum class ExitCode[^{]*\{(.*?)\};", source, re.DOTALL)[1]
        codes = [int(code) for code in re.findall(r"^\s*\w+ = (\d+)", values, re.MULTILINE)]
        self.assertEqual(codes, list(CODES))

    def test_another_word_and_a_missing_code_are_found(self):
        for old, new in (("not music", "no music"), ("| 8 |", "| 9 |")):
            self.assertNotEqual(codes_told(REFERENCE["exit-codes"].with_change(old, new)), self.in_help())

    def test_each_is_really_returned_with_one_line_and_nothing_left_behind(self):
        (self.place.folder / "two.musicxml").write_text(TWO_PARTS, encoding="utf-8")
        far = "tempo 160 mf 1/16 C5_C6_C5_C6_C5_C6_C5_C6 1/4 C5"

        def no_threads():  # so large a stack can be given to no second thread: a fault that is not the user's
            resource.setrlimit(resource.RLIMIT_STACK, (1 << 46, resource.getrlimit(resource.RLIMIT_STACK)[1]))

        cases = {
            0: ["fingering", "A4"],
            1: ["compare", "--notes", "A4-C5", "--json"],
            2: ["render", "--phrase", "A4", "--tempo", "9", "-o", "x.wav"],
            3: ["render", "missing.musicxml", "-o", "x.wav"],
            4: ["render", "two.musicxml", "-o", "x.wav"],
            5: ["render", "--phrase", "C2", "--strict", "-o", "x.wav"],
            6: ["render", "--phrase", "A4", "-o", "missing/x.wav"],
            7: ["spots", "--phrase", far, "--fail-on", "awkward"],
            8: ["play", "--phrase", "A4", "--device", "no such device"],
        }
        self.assertEqual(sorted(cases), list(CODES))
        before = self.place.files()
        for code, words in cases.items():
            if code == 1 and SANITIZED:
                continue  # the sanitizer itself needs a stack of a usual size
            with self.subTest(code=code):
                done = self.place.run(*words, preexec_fn=no_threads if code == 1 else None)
                self.assertEqual(done.returncode, code, done.stderr)
                lines = done.stderr.splitlines()
                if code == 4:
                    self.assertGreater(len(lines), 1)
                elif code not in (0, 7):
                    self.assertEqual(len(lines), 1, done.stderr)
        self.assertEqual(self.place.files(), before)

    def test_who_breaks_off_is_answered_by_the_signal_and_nothing_is_left(self):
        before = self.place.files()
        line = "tempo 10 " + "1/1 A4 B4 " * 700  # nine hours
        with subprocess.Popen([PROGRAM, "render", "--phrase", line, "-o", "long.wav"], cwd=self.place.folder,
                              env=self.place.environment, stderr=subprocess.PIPE, text=True) as running:
            until = time.monotonic() + 60
            while self.place.files() == before and running.poll() is None and time.monotonic() < until:
                time.sleep(0.02)
            running.send_signal(signal.SIGINT)
            self.assertIn("broken off", running.stderr.read())
        self.assertEqual(running.returncode, -signal.SIGINT)
        self.assertEqual(self.place.files(), before)


class Phrases(AtWork):
    def test_each_example_of_the_grammar_is_taken(self):
        tried = 0
        for table in REFERENCE["phrases"].tables:
            if table.head[-1] != "example":
                continue
            for row in table.rows:
                for phrase in code_words(row[-1]):
                    with self.subTest(phrase=phrase):
                        done = self.place.run("render", "--phrase", phrase, "-o", "example.wav")
                        self.assertEqual(done.returncode, 0, done.stderr)
                        tried += 1
        self.assertGreater(tried, 20)

    def test_the_examples_use_every_word_that_the_help_explains(self):
        text = self.place.run("render", "--help").stdout.split("E4_G4_B4_C5 grow 1/4 D5", 1)[1]
        examples = " ".join(row[-1] for table in REFERENCE["phrases"].tables
                            if table.head[-1] == "example" for row in table.rows)
        used = set(re.findall(r"[a-z]+", examples))
        heads = {word for first in re.findall(r"^([a-z][a-z, ]*?)(?: A4 C5| 96| 3/4| T\+L1\+R1)?  +\S", text, re.MULTILINE)
                 for word in first.split(", ")}
        marks = set(re.search(r"^Marks +([a-z \n]+):", text, re.MULTILINE)[1].split())
        dynamics = set(re.search(r"^Dynamics +([a-z ]+),", text, re.MULTILINE)[1].split())
        self.assertGreater(len(heads), 15)
        self.assertEqual((heads | marks | dynamics) - used, set())


class Kit(AtWork):
    def test_the_table_names_the_keys_of_the_plain_kit(self):
        plain = tomllib.loads((ROOT / "assets/kits/plain.toml").read_text(encoding="utf-8"))
        told = {key for table in REFERENCE["player"].tables if table.head == ["key", "values", "what it is about"]
                for row in table.rows for key in code_words(row[0])}
        self.assertEqual(told, set(plain))

    def test_a_key_that_is_not_told_is_refused(self):
        (self.place.folder / "kit.toml").write_text("reed = 3\n")
        self.assertEqual(self.place.run("fingering", "A4", "--kit", "kit.toml").returncode, 3)


class Csv(AtWork):
    def columns(self, *words):
        done = self.place.run("compare", *words, "-o", "out.csv")
        self.assertEqual(done.returncode, 0, done.stderr)
        text = (self.place.folder / "out.csv").read_bytes().decode("utf-8")
        return next(csv.reader(io.StringIO(text)))

    def told(self, heading):
        names = []
        for table in REFERENCE["formats"].tables:
            if table.section == heading:
                names += [name for row in table.rows for name in code_words(row[0])]
        if "h1_db" in names:  # the rest of the sixteen is not written out
            at = names.index("h1_db")
            names[at:names.index("h16_db") + 1] = [f"h{n}_db" for n in range(1, 17)]
        return names

    def test_the_columns_are_told_in_their_order(self):
        common = self.told("Columns that both tables have")
        self.assertEqual(self.told("Columns of held notes") + common,
                         self.columns("--notes", "A4", "--dynamics", "mf"))
        self.assertEqual(self.told("Columns of lines and recordings") + common,
                         self.columns("--phrase", "1/8 A4_B4", "--player", "ideal,studio"))


if __name__ == "__main__":
    unittest.main()
