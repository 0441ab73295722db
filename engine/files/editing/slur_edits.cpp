// SPDX-License-Identifier: MIT
#include "engine/files/editing/slur_edits.h"

#include "engine/files/editing/note_edits.h"

#include <algorithm>
#include <set>
#include <string_view>

namespace canebrake::musicxml
{
namespace
{

using pugi::xml_node;

/// A slur from one note to another, and the elements that draw it; none if it is new.
struct Span {
    std::size_t from = 0, to = 0;
    int number = 1;
    xml_node start{}, stop{};
    bool changed = false;
};

int number_of(const xml_node& slur)
{
    return slur.attribute("number").as_int(1);
}

std::vector<Span> spans_of(const std::vector<HeldNote>& notes)
{
    std::vector<Span> spans;
    std::map<int, std::vector<std::size_t>> open; // by number: spans without an end
    const auto read = [&](std::size_t note, const xml_node& node, std::string_view type) {
        for (const xml_node notations : node.children("notations"))
            for (const xml_node slur : notations.children("slur")) {
                if (std::string_view(slur.attribute("type").value()) != type)
                    continue;
                auto& waiting = open[number_of(slur)];
                if (type == "start") {
                    waiting.push_back(spans.size());
                    spans.push_back({note, note, number_of(slur), slur, {}, false});
                } else if (!waiting.empty()) {
                    spans[waiting.back()].to = note;
                    spans[waiting.back()].stop = slur;
                    waiting.pop_back();
                }
            }
    };
    for (std::size_t i = 0; i < notes.size(); ++i)
        for (const xml_node node : notes[i].nodes) {
            read(i, node, "stop");
            read(i, node, "start");
        }
    std::erase_if(spans, [](const Span& span) { return !span.stop; });
    return spans;
}

void cut(std::vector<Span>& spans, std::size_t joint)
{
    std::vector<Span> more;
    for (Span& span : spans)
        if (span.from <= joint && joint < span.to) {
            more.push_back({joint + 1, span.to, span.number, {}, span.stop, true});
            span.to = joint;
            span.stop = {};
            span.changed = true;
        }
    spans.insert(spans.end(), more.begin(), more.end());
}

void join(std::vector<Span>& spans, std::size_t joint)
{
    for (const Span& span : spans)
        if (span.from <= joint && joint < span.to)
            return;
    Span made{joint, joint + 1, 1, {}, {}, true};
    for (Span& span : spans) {
        if (span.to == joint && span.from < span.to) {
            made.from = span.from;
            made.number = span.number;
            made.start = span.start;
        } else if (span.from == joint + 1 && span.from < span.to) {
            made.to = span.to;
            made.stop = span.stop;
        } else {
            continue;
        }
        span.from = span.to = joint; // taken up; nothing of it stays
        span.start = span.stop = {};
        span.changed = false;
    }
    spans.push_back(made);
}

/// The number of a new slur: one that none beside it has.
int free_number(const std::vector<Span>& spans, const Span& wanted)
{
    for (int number = 1; number <= 16; ++number)
        if (std::none_of(spans.begin(), spans.end(), [&](const Span& s) {
                return &s != &wanted && s.from < s.to && s.number == number && s.from <= wanted.to &&
                       wanted.from <= s.to && !(s.to == wanted.from || s.from == wanted.to);
            }))
            return number;
    return 1;
}

} // namespace

void set_slurs(EditedTree& tree, const std::vector<HeldNote>& notes,
               const std::map<std::size_t, bool>& joints)
{
    const std::vector<Span> before = spans_of(notes);
    std::vector<Span> spans = before;
    for (const auto& [joint, slurred] : joints)
        slurred ? join(spans, joint) : cut(spans, joint);

    // Elements that no span uses any more go.
    std::set<std::size_t> kept;
    const auto hash = [](const xml_node& node) { return node.hash_value(); };
    for (const Span& span : spans)
        if (span.from < span.to || !span.changed) // one over a tie begins and ends at the same note
            for (const xml_node end : {span.start, span.stop})
                if (end)
                    kept.insert(hash(end));
    for (const Span& old : before)
        for (const xml_node end : {old.start, old.stop})
            if (!kept.contains(hash(end))) {
                xml_node note = end;
                while (note && std::string_view(note.name()) != "note")
                    note = note.parent();
                remove_notation(end);
                tree.touch(note);
            }
    for (Span& span : spans) {
        if (!span.changed || span.from >= span.to)
            continue;
        if (!span.start && !span.stop)
            span.number = free_number(spans, span);
        if (!span.start) {
            add_slur_end(notes[span.from].first(), "start", span.number);
            tree.touch(notes[span.from].first());
        }
        if (!span.stop) {
            add_slur_end(notes[span.to].last(), "stop", span.number);
            tree.touch(notes[span.to].last());
        } else if (number_of(span.stop) != span.number) {
            xml_node stop = span.stop;
            stop.remove_attribute("number");
            stop.append_attribute("number") = span.number;
            xml_node note = stop;
            while (note && std::string_view(note.name()) != "note")
                note = note.parent();
            tree.touch(note);
        }
    }
}

} // namespace canebrake::musicxml
