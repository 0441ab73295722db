# SPDX-License-Identifier: MIT
"""The program as a reader runs it: in a folder of its own, with a copy of assets beside it."""
import json
import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from documents import ROOT

PROGRAM = Path(os.environ.get("CANEBRAKE", ROOT / "build/cli/canebrake")).resolve()
SANITIZED = b"__asan_init" in PROGRAM.read_bytes()
CACHE = tempfile.TemporaryDirectory(prefix="canebrake-docs-cache-")


class Workplace:
    def __init__(self):
        self.kept = tempfile.TemporaryDirectory(prefix="canebrake-docs-")
        self.folder = Path(self.kept.name)
        shutil.copytree(ROOT / "assets", self.folder / "assets")
        self.environment = {
            "PATH": f"{PROGRAM.parent}:{os.environ['PATH']}",
            "HOME": self.kept.name,
            "LC_ALL": "C.UTF-8",
            "XDG_CACHE_HOME": CACHE.name,
        }

    def close(self):
        self.kept.cleanup()

    def run(self, *words, **options):
        return subprocess.run([PROGRAM, *words], cwd=self.folder, env=self.environment, text=True,
                              stdin=subprocess.DEVNULL, capture_output=True, timeout=300, **options)

    def type(self, line):
        """The line as a shell takes it."""
        return subprocess.run(["sh", "-c", line], cwd=self.folder, env=self.environment, text=True,
                              stdin=subprocess.DEVNULL, capture_output=True, timeout=300)

    def json(self, *words, file=None):
        """What the command answers: standard output, or a file it writes."""
        done = self.run(*words)
        if done.returncode != 0:
            raise AssertionError(f"canebrake {' '.join(words)}: exit code {done.returncode}: {done.stderr}")
        return json.loads((self.folder / file).read_text(encoding="utf-8") if file else done.stdout)

    def files(self):
        return sorted(str(path.relative_to(self.folder)) for path in self.folder.rglob("*") if path.is_file())
