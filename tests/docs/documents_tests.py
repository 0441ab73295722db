# SPDX-License-Identifier: MIT
"""documents_tests.py [SUITE]: what can be checked of the documents without running the program."""
import unittest
from urllib.parse import unquote, urlsplit

from documents import ALL, DEVELOPERS, README, ROOT, Document, anchor

LARGEST = 12_000  # bytes


class Sizes(unittest.TestCase):
    def test_the_two_documents_on_top_are_short(self):
        for document in (README, DEVELOPERS):
            with self.subTest(document=document.name):
                self.assertLessEqual(len(document.text.encode()), LARGEST)

    def test_the_readme_opens_with_one_paragraph_and_the_two_commands(self):
        paragraphs = README.text.split("\n\n")
        self.assertTrue(paragraphs[0].startswith("# "))
        self.assertGreater(len(paragraphs[1]), 300)
        for command in ("sh cli/first-run.sh", "sh tests/run.sh"):
            self.assertTrue(any(command in code.text for code in README.code), command)


def faults_of_links(document):
    """Links that lead nowhere, as (line, target)."""
    faults = []
    for target, line in document.links:
        parts = urlsplit(target)
        if parts.scheme:
            if parts.scheme not in ("http", "https"):
                faults.append((line, target))
            continue
        path = (document.path.parent / unquote(parts.path)).resolve() if parts.path else document.path
        if not path.exists() or ROOT not in path.parents:
            faults.append((line, target))
        elif parts.fragment and parts.fragment not in (Document(path).anchors if parts.path else document.anchors):
            faults.append((line, target))
    return faults


class Links(unittest.TestCase):
    def test_each_leads_somewhere(self):
        for document in ALL:
            with self.subTest(document=document.name):
                self.assertEqual(faults_of_links(document), [])

    def test_one_that_leads_nowhere_is_found(self):
        for old, new in (("(assets/docs/commands.md)", "(assets/docs/orders.md)"), ("(DEVELOPERS.md)", "(#nowhere)"),
                         ("figures.md#our-ear", "figures.md#their-ear"), ("(DEVELOPERS.md)", "(../README.md)"),
                         ("break-crossing.png", "break.png")):
            with self.subTest(new=new):
                self.assertEqual(len(faults_of_links(README.with_change(old, new))), 1)

    def test_each_document_can_be_reached_from_the_readme(self):
        reached, todo = set(), [README]
        while todo:
            document = todo.pop()
            reached.add(document.path)
            for target, _ in document.links:
                path = (document.path.parent / urlsplit(target).path).resolve()
                todo += [other for other in ALL if other.path == path and path not in reached]
        self.assertEqual([d.name for d in ALL if d.path not in reached], [])

    def test_an_anchor_is_a_heading_without_its_marks(self):
        self.assertEqual(anchor("Exit codes, 0 to 8"), "exit-codes-0-to-8")


if __name__ == "__main__":
    unittest.main()
