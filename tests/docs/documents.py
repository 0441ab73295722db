# SPDX-License-Identifier: MIT
"""The documents as data: code, tables, links and headings of README.md, DEVELOPERS.md and assets/docs."""
import re
from pathlib import Path

from markdown_it import MarkdownIt

ROOT = Path(__file__).resolve().parents[2]
MARKDOWN = MarkdownIt("commonmark").enable("table")


def anchor(heading):
    """What a link to a heading is called: lower case, blanks to hyphens, marks left out."""
    return re.sub(r"[^\w\- ]", "", heading.strip().lower()).replace(" ", "-")


class Code:
    def __init__(self, language, text, line):
        self.language, self.text, self.line = language, text, line


class Table:
    """Cells are the Markdown between the bars; `section` is the heading above."""

    def __init__(self, section):
        self.section, self.head, self.rows = section, [], []


class Document:
    def __init__(self, path, text=None):
        self.path = path
        self.name = str(path.relative_to(ROOT))
        self.text = path.read_text(encoding="utf-8") if text is None else text
        self.code, self.inline_code, self.tables, self.links = [], [], [], []
        self.anchors, self.sections = set(), []
        heading, cells = "", None
        tokens = MARKDOWN.parse(self.text)
        for i, token in enumerate(tokens):
            if token.type in ("fence", "code_block"):
                self.code.append(Code(token.info.strip(), token.content, token.map[0] + 1))
            elif token.type == "table_open":
                self.tables.append(Table(heading))
            elif token.type == "tr_open":
                cells = []
            elif token.type == "tr_close":
                table = self.tables[-1]
                if table.head:
                    table.rows.append(cells)
                else:
                    table.head = cells
                cells = None
            elif token.type == "inline":
                if tokens[i - 1].type == "heading_open":
                    heading = token.content
                    self.anchors.add(anchor("".join(child.content for child in token.children)))
                    self.sections.append((heading, token.map[0]))
                if cells is not None:
                    cells.append(token.content)
                for child in token.children:
                    if child.type == "code_inline":
                        self.inline_code.append(Code("", child.content, token.map[0] + 1))
                    elif child.type == "link_open":
                        self.links.append((child.attrs["href"], token.map[0] + 1))
                    elif child.type == "image":
                        self.links.append((child.attrs["src"], token.map[0] + 1))

    def with_change(self, old, new):
        """The same document with one piece of its text changed."""
        assert self.text.count(old) >= 1, f"{self.name} has no '{old}'"
        return Document(self.path, self.text.replace(old, new, 1))

    def section(self, heading):
        """The Markdown from this heading to the next one of any level."""
        starts = [line for title, line in self.sections] + [None]
        for i, (title, line) in enumerate(self.sections):
            if title == heading:
                return "\n".join(self.text.split("\n")[line:starts[i + 1]])
        raise KeyError(f"{self.name} has no heading '{heading}'")


def code_words(markdown):
    """What stands between backticks."""
    return re.findall(r"`([^`]+)`", markdown)


README = Document(ROOT / "README.md")
DEVELOPERS = Document(ROOT / "DEVELOPERS.md")
REFERENCE = {path.stem: Document(path) for path in sorted((ROOT / "assets/docs").glob("*.md"))}
ALL = [README, DEVELOPERS, *REFERENCE.values()]
FOR_USERS = [README, *REFERENCE.values()]
