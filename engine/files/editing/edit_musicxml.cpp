// SPDX-License-Identifier: MIT
#include "engine/files/editing/edit_musicxml.h"

#include "engine/files/editing/direction_edits.h"
#include "engine/files/editing/edited_tree.h"
#include "engine/files/editing/note_edits.h"
#include "engine/files/editing/slur_edits.h"
#include "engine/files/musicxml/read_musicxml.h"
#include "engine/files/musicxml/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace canebrake
{
namespace
{

using namespace musicxml;
using pugi::xml_node;

/// One note of the file: its passes in the line before, and what has become of it.
struct FileNote {
    std::vector<std::size_t> passes; ///< numbers in `before`
    HeldNote held;
    const Note* was = nullptr;
    const Note* is = nullptr; ///< of the first pass that differs; nullptr: a rest now
};

bool same_pitch(const Note& a, const Note& b)
{
    return a.printed == b.printed && a.printed_step == b.printed_step && a.printed_alter == b.printed_alter;
}

bool same_ornaments(const Note& a, const Note& b)
{
    return std::equal(a.ornaments.begin(), a.ornaments.end(), b.ornaments.begin(), b.ornaments.end(),
                      [](const Ornament& x, const Ornament& y) {
                          return x.kind == y.kind && x.semitones == y.semitones && x.start == y.start &&
                                 x.strokes == y.strokes && x.beats == y.beats;
                      });
}

bool same_note(const Note& a, const Note& b)
{
    return same_pitch(a, b) && same_ornaments(a, b) && a.slurred_to_next == b.slurred_to_next &&
           a.articulations == b.articulations && a.fingering == b.fingering;
}

int octave_of(const Note& note)
{
    return (note.printed - note.printed_alter - natural_number(note.printed_step, 0)) / 12;
}

class Edit
{
public:
    Edit(EditedTree& tree, const Line& before, const Line& after, std::vector<std::string>& remarks)
        : tree_(tree), before_(before), after_(after), remarks_(remarks)
    {
    }

    /// False, with a remark: it cannot be done here.
    bool make()
    {
        if (!pair() || !find_notes())
            return false;
        change_slurs(); // first: a note that becomes a rest takes its ends of slurs along
        for (FileNote& note : notes_)
            if (!change(note))
                return false;
        show_accidentals();
        const std::vector<PlacedNote> placed = placed_notes();
        set_dynamics(tree_, placed, before_, after_);
        set_tempo(tree_, placed, before_, after_);
        return true;
    }

private:
    bool refuse(const std::string& why)
    {
        remarks_.push_back(why +
                           ": the part is set anew, without the directions, titles and layout of the file");
        return false;
    }

    /// Each note of `after` with the one it was.
    bool pair()
    {
        now_.assign(before_.notes.size(), nullptr);
        for (const Note& note : after_.notes) {
            const std::size_t number = note.source.number;
            if (number >= now_.size() || now_[number] != nullptr)
                return refuse("the change makes more notes than there were");
            now_[number] = &note;
        }
        return true;
    }

    bool find_notes()
    {
        std::map<std::string, std::size_t> known;
        for (std::size_t i = 0; i < before_.notes.size(); ++i) {
            const Note& was = before_.notes[i];
            const auto [at, fresh] = known.try_emplace(was.source.id, notes_.size());
            if (fresh) {
                const auto place = tree_.places().find(was.source.id);
                if (!place)
                    return refuse("a note is not where it was read from");
                notes_.push_back({{}, {tree_.places().held(*place)}, &was, now_[i]});
            }
            FileNote& note = notes_[at->second];
            note.passes.push_back(i);
            const bool differs = now_[i] == nullptr || !same_note(was, *now_[i]);
            const bool told = note.is == nullptr || !same_note(*note.was, *note.is);
            if (differs && !told)
                note.is = now_[i];
        }
        return true;
    }

    bool change(FileNote& note)
    {
        if (note.is != nullptr && same_note(*note.was, *note.is))
            return true;
        const Note& was = *note.was;
        if (note.is == nullptr) {
            for (const xml_node node : note.held.nodes) {
                make_rest(node);
                tree_.touch(node);
            }
            return true;
        }
        const Note& is = *note.is;
        const xml_node first = note.held.first();
        if (!same_pitch(was, is)) {
            for (const xml_node node : note.held.nodes) {
                set_pitch(node, is.printed_step, is.printed_alter, octave_of(is));
                tree_.touch(node);
            }
            moved_.insert(first.parent());
        }
        const auto stroke = [](const Note& n) { return std::uint16_t(n.articulations & ~art_breath_after); };
        if (!set_articulations(first, stroke(was), stroke(is)))
            return refuse("a mark of the file has no element that could go");
        set_articulations(note.held.last(), was.articulations & art_breath_after,
                          is.articulations & art_breath_after);
        if (was.fingering != is.fingering)
            set_fingering(first, is.fingering);
        if (!same_ornaments(was, is) && !set_ornaments(first, was, is))
            return refuse("the ornament is written out in another way");
        if (was.articulations != is.articulations || was.fingering != is.fingering ||
            !same_ornaments(was, is)) {
            tree_.touch(first);
            tree_.touch(note.held.last());
        }
        return true;
    }

    void change_slurs()
    {
        // In the file's order, which is that of the first pass.
        std::vector<HeldNote> held;
        std::map<std::size_t, bool> joints;
        for (std::size_t i = 0; i < notes_.size(); ++i) {
            held.push_back(notes_[i].held);
            const bool was = notes_[i].was->slurred_to_next;
            const bool is = notes_[i].is != nullptr && notes_[i].is->slurred_to_next;
            if (was != is && i + 1 < notes_.size())
                joints[i] = is;
        }
        set_slurs(tree_, held, joints);
    }

    /// In a bar where a note was moved every note shows what its place on the staff does not say already.
    void show_accidentals()
    {
        for (const xml_node bar : moved_) {
            std::map<std::pair<std::string, std::string>, int> shown; // of this bar, by step and octave
            for (const xml_node note : bar.children("note")) {
                const xml_node pitch = note.child("pitch");
                if (!pitch)
                    continue;
                const std::pair place{trimmed(pitch.child_value("step")),
                                      trimmed(pitch.child_value("octave"))};
                const int alter = whole_number(pitch.child_value("alter"), 0);
                const int step = step_number(place.first.c_str());
                const auto known = shown.find(place);
                const int in_force = known != shown.end() ? known->second : signature_at(note, step);
                if (alter != in_force && !note.child("accidental")) {
                    show_accidental(note, alter);
                    tree_.touch(note);
                }
                shown[place] = alter;
            }
        }
    }

    /// What the key signature in force makes of a step.
    int signature_at(const xml_node& note, int step) const
    {
        for (const FileNote& each : notes_)
            for (const xml_node node : each.held.nodes)
                if (node == note)
                    return altered_by(key_at_quarter(each.was->start_quarter), step);
        return 0;
    }

    int key_at_quarter(double quarter) const
    {
        int fifths = 0;
        for (const KeyPoint& key : before_.keys)
            if (key.quarter <= quarter + 1e-6)
                fifths = key.fifths;
        return fifths;
    }

    static int altered_by(int fifths, int step)
    {
        static constexpr std::array<int, 7> sharps{1, 3, 5, 0,
                                                   2, 4, 6}; // C D E F G A B: when it is sharpened
        if (fifths > 0)
            return sharps[std::size_t(step)] < fifths ? 1 : 0;
        return 6 - sharps[std::size_t(step)] < -fifths ? -1 : 0;
    }

    std::vector<PlacedNote> placed_notes() const
    {
        std::vector<PlacedNote> placed;
        for (const FileNote& note : notes_)
            placed.push_back({note.held, note.was->start_quarter, note.was->source.bar_index});
        return placed;
    }

    struct Less {
        bool operator()(const xml_node& a, const xml_node& b) const
        {
            return a.hash_value() < b.hash_value();
        }
    };

    EditedTree& tree_;
    const Line& before_;
    const Line& after_;
    std::vector<std::string>& remarks_;
    std::vector<const Note*> now_;
    std::vector<FileNote> notes_;
    std::set<xml_node, Less> moved_;
};

/// Whether a note that was read again is as it was wanted. A change in one pass of a repeat stands in every
/// pass, so a note that was not asked to change may have changed with another pass of it.
bool as_wanted(const Line& got, const Line& before, const Line& after)
{
    std::map<std::string, std::vector<const Note*>> wanted;
    std::map<std::string, int> passes;
    for (const Note& note : after.notes)
        wanted[note.source.id].push_back(&note);
    std::set<std::string> silent;
    for (const Note& note : before.notes)
        if (!wanted.contains(note.source.id))
            silent.insert(note.source.id);
    std::set<std::string> seen;
    for (const Note& note : got.notes) {
        const auto may = wanted.find(note.source.id);
        if (may == wanted.end())
            return false;
        seen.insert(note.source.id);
        if (std::none_of(may->second.begin(), may->second.end(), [&](const Note* w) {
                return same_pitch(*w, note) && w->slurred_to_next == note.slurred_to_next &&
                       w->articulations == note.articulations && w->fingering == note.fingering;
            }))
            return false;
    }
    return seen.size() == wanted.size();
}

const Line* part_named(const Score& score, const std::string& id)
{
    for (const Line& part : score.parts)
        if (part.part_id == id)
            return &part;
    return nullptr;
}

/// The notes of a part that lie in the bars that were looked at.
Line same_stretch(const Line& whole, const Line& before)
{
    std::set<std::string> ids;
    for (const Note& note : before.notes)
        ids.insert(note.source.id);
    Line line = whole;
    std::erase_if(line.notes, [&](const Note& note) { return !ids.contains(note.source.id); });
    return line;
}

} // namespace

std::optional<std::string> edit_musicxml(std::string_view bytes, const std::string& name, const Line& before,
                                         const Line& after, std::vector<std::string>& remarks)
{
    EditedTree tree(bytes, name);
    if (!Edit(tree, before, after, remarks).make())
        return {};
    std::string edited = tree.bytes();
    const Score again = read_musicxml(edited, name);
    const Line* part = part_named(again, before.part_id);
    if (part == nullptr || !as_wanted(same_stretch(*part, before), before, after)) {
        remarks.push_back(
            "the change could not be made in the file as it stands: the part is set anew, without "
            "the directions, titles and layout of the file");
        return {};
    }
    return edited;
}

} // namespace canebrake
