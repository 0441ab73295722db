# SPDX-License-Identifier: MIT
"""The C face as Python calls it: the header's functions by their names, without `canebrake_`."""
import ctypes
import json
import os
from pathlib import Path

from documents import ROOT

LIBRARY = Path(os.environ.get("CANEBRAKE_LIBRARY", ROOT / "build/engine/libcanebrake_c.so")).resolve()
BROKEN_OFF, DONE, INTERNAL, USAGE, UNREADABLE, NEEDS_CHOICE, OFF_RANGE = range(-1, 6)
STOP = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p)


class Answer(ctypes.Structure):
    _fields_ = [("fault", ctypes.c_int), ("text", ctypes.c_void_p), ("size", ctypes.c_size_t)]


class Watch(ctypes.Structure):
    _fields_ = [("context", ctypes.c_void_p), ("progress", ctypes.c_void_p), ("stop", STOP)]


BREAKS_OFF = Watch(None, None, STOP(lambda context: 1))  # at once: what is asked is read, and not worked out
face = ctypes.CDLL(str(LIBRARY))
POINTER, TEXT = ctypes.c_void_p, ctypes.c_char_p
PLACE, WATCH = ctypes.POINTER(POINTER), ctypes.POINTER(Watch)
TAKES = {"open": [TEXT, ctypes.c_size_t, TEXT, PLACE], "open_phrase": [TEXT, PLACE], "parts": [POINTER],
         "spots": [POINTER, TEXT, WATCH], "remedies": [POINTER, TEXT, WATCH], "clarinets": [POINTER, TEXT, WATCH],
         "take": [POINTER, TEXT, WATCH, PLACE, PLACE], "compare": [POINTER, TEXT, WATCH], "fingering": [TEXT],
         "instruments": [TEXT], "save": [POINTER, TEXT, WATCH], "sound_open": [POINTER, TEXT, PLACE],
         "sound_events": [POINTER]}
for name, types in TAKES.items():
    function = getattr(face, "canebrake_" + name)
    function.argtypes, function.restype = types, Answer
for name, types in {"close": [POINTER], "sound_close": [POINTER], "free": [ctypes.POINTER(Answer)]}.items():
    getattr(face, "canebrake_" + name).argtypes = types
face.canebrake_sound_read.argtypes = [POINTER, ctypes.POINTER(ctypes.c_float), ctypes.c_size_t]
face.canebrake_sound_read.restype = ctypes.c_int64


def ask(function, *words):
    """(fault, text as bytes); the answer is given back."""
    answer = getattr(face, "canebrake_" + function)(*words)
    said = answer.fault, ctypes.string_at(answer.text, answer.size)
    face.canebrake_free(ctypes.byref(answer))
    return said


def answered(fault, text):
    if fault != DONE:
        raise AssertionError(f"fault {fault}: {text.decode()}")
    return json.loads(text)


def bytes_of(question):
    return None if question is None else json.dumps(question).encode()


class Line:
    """A typed phrase, a file under ROOT by its own name or another, or bytes; closed when it is no longer used."""

    def __init__(self, phrase=None, file=None, data=None, name=None, pointer=None):
        self.pointer = POINTER(pointer)
        if phrase is not None:
            self.opened = answered(*ask("open_phrase", phrase.encode(), self.pointer))
        elif pointer is None:
            data, name = data or (ROOT / file).read_bytes(), file if name is None else name
            self.opened = answered(*ask("open", data, len(data), None if name is None else name.encode(), self.pointer))

    def __del__(self):
        face.canebrake_close(self.pointer)

    def ask(self, function, question=None, watch=None):
        return answered(*ask(function, self.pointer, bytes_of(question), watch and ctypes.byref(watch)))

    def take(self, question):
        """What is said, and the changed lines."""
        changed, second = POINTER(), POINTER()
        said = answered(*ask("take", self.pointer, bytes_of(question), None, changed, second))
        return said, [Line(pointer=line.value) for line in (changed, second) if line.value]

    def sound(self, question):
        """What is said of the sound, how many samples there were, and the events if it was measured."""
        sound, block, count = POINTER(), (ctypes.c_float * 65536)(), 0
        said = answered(*ask("sound_open", self.pointer, bytes_of(question), sound))
        while got := face.canebrake_sound_read(sound, block, len(block)):
            if got < 0:
                raise AssertionError("a fault while reading")
            count += got
        events = answered(*ask("sound_events", sound)) if question.get("measure") else None
        face.canebrake_sound_close(sound)
        return said, count, events


def answer_of(definition, question, line):
    """(fault, text) of a question of this kind; `question` is JSON text. As little as possible is worked out."""
    asked, stop = question.encode(), ctypes.byref(BREAKS_OFF)
    if definition == "line":
        return ask("spots", line.pointer, asked, stop)
    if definition in ("comparison", "held_notes"):
        return ask("compare", line.pointer if definition == "comparison" else None, asked, stop)
    return ask({"fingering": "fingering", "family": "instruments"}[definition], asked)
