// SPDX-License-Identifier: MIT
#include "engine/part/who_plays.h"

#include "models/instruments/family_names.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

namespace canebrake
{
namespace
{

/// A change that was asked for and waits for its note.
struct Asked {
    Named named;
    bool by_words = false;     ///< they ask for it: "muta in"
    bool any_clarinet = false; ///< "to clarinet": the one played before
    bool over_notes = true;
};

class Follower
{
public:
    Follower(const std::vector<Note>& notes, const PlayerEvidence& evidence,
             std::vector<std::string>& remarks)
        : notes_(notes), evidence_(evidence), remarks_(remarks)
    {
        std::set<int> seen;
        for (const Note& note : notes)
            if (const auto t = transposition_of(note))
                seen.insert(*t);
        varies_ = evidence.transposition_known && seen.size() > 1;
    }

    std::vector<InstrumentStretch> follow()
    {
        for (const Note& note : notes_)
            meet(note);
        return std::move(stretches_);
    }

private:
    /// Sounding − printed; empty where a quarter tone hides it.
    static std::optional<int> transposition_of(const Note& note)
    {
        const double distance = note.sounding.number - note.printed;
        if (distance != std::round(distance))
            return {};
        return int(distance);
    }

    std::optional<int> known_transposition() const
    {
        return evidence_.transposition_known ? transposition_ : std::nullopt;
    }

    bool agrees(const Named& named) const
    {
        return named.member == nullptr || !known_transposition() || named.member->written_at(*transposition_);
    }

    void meet(const Note& note)
    {
        const auto before = transposition_;
        if (const auto t = transposition_of(note))
            transposition_ = t;
        const bool moved = evidence_.transposition_known && before && before != transposition_;
        const std::string& id = note.source.instrument;
        const bool new_id = !id.empty() && id != id_;
        if (new_id)
            id_ = id;
        for (; next_mark_ < evidence_.marks.size() &&
               evidence_.marks[next_mark_].quarter <= note.start_quarter + 1e-9;
             ++next_mark_)
            hear(evidence_.marks[next_mark_]);

        if (first_) {
            first_ = false;
            begin(note);
            return;
        }
        if (new_id && evidence_.ids.contains(id)) {
            take(named_by_id(id, false), note);
            if (asked_ && moved)
                asked_.reset();
            return;
        }
        if (moved) {
            if (asked_ && settled(*asked_) && agrees(resolved(*asked_)))
                take(resolved(*asked_), note);
            else if (!agrees(current_) || current_.member == nullptr)
                take(by_transposition(), note);
            asked_.reset();
            return;
        }
        if (asked_)
            obey(note);
    }

    /// The first note: what the part list says, unless a mark before it says better.
    void begin(const Note& note)
    {
        const bool named = !note.source.instrument.empty() && evidence_.ids.contains(note.source.instrument);
        Named start = named ? named_by_id(note.source.instrument, true) : named_by_part();
        if (asked_) {
            const Named asked = resolved(*asked_);
            if (!asked_->any_clarinet && agrees(asked) && (asked.member != nullptr || !asked_->over_notes))
                start = asked;
            asked_.reset();
        }
        take(start, note);
    }

    Named named_by_part() const
    {
        return member_for(
            {evidence_.sound_id, evidence_.part_name, evidence_.midi_program, known_transposition()});
    }

    /// An id by its own name where that says something; a part's only one, and its first, by the part's too.
    Named named_by_id(const std::string& id, bool first)
    {
        if (const auto known = known_ids_.find(id); known != known_ids_.end() && agrees(known->second))
            return known->second;
        const PlayerEvidence::Id& said = evidence_.ids.at(id);
        const NameReading own = read_instrument_name(said.name);
        const bool speaks = own.clarinet || !own.other.empty();
        const bool by_part = (first || evidence_.ids.size() < 2) &&
                             (!own.clarinet || member_in(own) == nullptr) && own.other.empty();
        const Named named = member_for({said.sound_id,
                                        by_part  ? evidence_.part_name
                                        : speaks ? said.name
                                                 : "",
                                        said.midi_program, known_transposition()});
        return known_ids_[id] = named;
    }

    Named by_transposition() const
    {
        const std::string why =
            "its transposition changes to " + std::to_string(*transposition_) + " semitones";
        return {member_at(*transposition_), "", why};
    }

    void hear(const PlayerEvidence::Mark& mark)
    {
        if (!mark.sound_id.empty()) {
            asked_ = Asked{member_for({mark.sound_id, "", -1, known_transposition()}), true, false, false};
            return;
        }
        const NameReading reading = read_instrument_name(mark.text);
        Asked asked;
        asked.by_words = reading.asks_change;
        asked.over_notes = mark.over_notes;
        asked.named.why = "the file says '" + mark.text + "'";
        asked.named.member = member_in(reading);
        if (asked.named.member == nullptr) {
            asked.any_clarinet = reading.clarinet;
            asked.named.other = reading.clarinet ? "" : reading.other;
            if (!reading.clarinet && reading.other.empty())
                return;
        }
        if (!reading.size.empty() || reading.clarinet || !reading.other.empty() || asked.by_words ||
            reading.whole)
            asked_ = asked;
    }

    /// "To clarinet" means the one played last.
    Named resolved(const Asked& asked) const
    {
        if (!asked.any_clarinet)
            return asked.named;
        Named named = asked.named;
        named.member = last_clarinet_ != nullptr && agrees({last_clarinet_, "", ""}) ? last_clarinet_
                       : known_transposition() ? member_at(*transposition_)
                                               : member_named("B-flat");
        if (named.member == nullptr)
            named.member = member_named("B-flat");
        return named;
    }

    /// Whether a change of transposition is enough to believe it.
    static bool settled(const Asked& asked)
    {
        return asked.named.other.empty() || asked.by_words || !asked.over_notes;
    }

    /// A mark without a change of transposition.
    void obey(const Note& note)
    {
        const Named named = resolved(*asked_);
        const bool same_size = named.member != nullptr && current_.member != nullptr &&
                               (named.member->transposition > -7) == (current_.member->transposition > -7);
        const bool plain_name = !asked_->by_words && asked_->over_notes;
        if (plain_name && (named.member == nullptr || !same_size || asked_->any_clarinet)) {
            asked_.reset(); // it may head a cue
            return;
        }
        if (!agrees(named)) {
            if (varies_)
                return; // the change comes where the transposition does
            if (named.member != current_.member)
                remarks_.push_back("bar " + note.source.bar + ": " + named.why +
                                   " and keeps its transposition; the sounding pitch is the file's");
        }
        take(named, note);
        asked_.reset();
    }

    void take(const Named& named, const Note& note)
    {
        if (named.member == nullptr && named.other.empty() && !stretches_.empty())
            return; // nothing was said
        if (!stretches_.empty() && named.member == current_.member && named.other == current_.other)
            return;
        current_ = named;
        if (named.member != nullptr)
            last_clarinet_ = named.member;
        if (named.member == nullptr && named.other.empty())
            return;
        stretches_.push_back({&note == &notes_.front() ? 0.0 : note.start_quarter,
                              named.member != nullptr ? named.member->name : "", named.other, named.why});
    }

    const std::vector<Note>& notes_;
    const PlayerEvidence& evidence_;
    std::vector<std::string>& remarks_;
    std::vector<InstrumentStretch> stretches_;
    Named current_;
    const FamilyMember* last_clarinet_ = nullptr;
    std::optional<Asked> asked_;
    std::optional<int> transposition_;
    std::string id_;
    std::map<std::string, Named> known_ids_;
    std::size_t next_mark_ = 0;
    bool first_ = true, varies_ = false;
};

} // namespace

std::vector<InstrumentStretch> who_plays(const std::vector<Note>& notes, const PlayerEvidence& evidence,
                                         std::vector<std::string>& remarks)
{
    return Follower(notes, evidence, remarks).follow();
}

bool may_name_player(const std::string& words)
{
    const NameReading reading = read_instrument_name(words);
    const bool named = reading.clarinet || !reading.other.empty() || member_in(reading) != nullptr;
    return named && (reading.asks_change || reading.whole);
}

} // namespace canebrake
