// SPDX-License-Identifier: MIT
#include "engine/spelling/basis.h"

#include "engine/spelling/fifths.h"
#include "engine/spelling/harmony.h"
#include "engine/spelling/key.h"
#include "engine/spelling/transposed.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>

namespace canebrake
{

namespace
{

// Limits. On the two reference scores (36 parts) the right reading leads by 0.22 of correlation and more over
// those a semitone or a tone off, so that few notes suffice. A third or a fourth off, inner voices agree
// nearly as well: parts of 48 notes and more lead by 0.08 and more, trombones of 31 notes by −0.13 to 0.08.
constexpr int fewest_quarters = 16, fewest_notes = 16, fewest_notes_far_off = 48;
constexpr double clearly_better = 0.12; // of correlation
constexpr double fits_at_all = 0.25;
constexpr double against = 0.05; // the notes speak against what the signature says

int most_common(const std::vector<int>& values)
{
    std::map<int, int> counts;
    for (const int value : values)
        ++counts[value];
    const auto most = std::max_element(counts.begin(), counts.end(),
                                       [](const auto& a, const auto& b) { return a.second < b.second; });
    return most == counts.end() ? 0 : most->first;
}

std::string figure(double value)
{
    char text[32];
    std::snprintf(text, sizeof text, "%.2f", value);
    return text;
}

std::string semitones_words(int transposition)
{
    const int count = std::abs(transposition);
    return std::to_string(count) + (count == 1 ? " semitone " : " semitones ") +
           (transposition < 0 ? "below" : "above") + " what is printed";
}

std::string read_words(int said)
{
    return said == 0 ? "read at concert pitch" : "read as sounding " + semitones_words(said);
}

std::string looks_like(int fits, int transposition)
{
    if (fits == 0)
        return "printed at concert pitch";
    if (fits == transposition)
        return "written for its instrument, sounding " + semitones_words(fits);
    if (fits == -2 || fits == -3 || fits == 3)
        return std::string("written for a clarinet in ") + (fits == -2 ? "B♭" : fits == -3 ? "A" : "E♭");
    return "written to sound " + semitones_words(fits);
}

class Inquiry
{
public:
    Inquiry(const Line& part, const std::vector<const Line*>& other_parts, int transposition,
            const FamilyMember* member)
        : part_(part), transposition_(transposition), member_(member), harmony_(part.end_quarter)
    {
        const std::vector<int> shifts = transposition_of_notes(part);
        said_ = most_common(shifts);
        for (std::size_t i = 0; i < part.notes.size(); ++i)
            if (shifts[i] == said_)
                notes_.push_back(&part.notes[i]);
        for (const Line* other : other_parts)
            if (other != nullptr && other != &part && !other->notes.empty() &&
                (part.part_id.empty() || other->part_id != part.part_id))
                others_.push_back(other);
        for (const Note* note : notes_)
            harmony_.add_own(*note, note->printed + said_);
        // Parts read at the same transposition may share the mistake.
        const auto may_share = [&](const Line* other) {
            return said_ != 0 && most_common(transposition_of_notes(*other)) == said_;
        };
        const bool any_apart =
            std::any_of(others_.begin(), others_.end(), [&](const Line* other) { return !may_share(other); });
        for (const Line* other : others_)
            if (!any_apart || !may_share(other))
                for (const Note& note : other->notes)
                    harmony_.add_other(note);
        for (const Line* other : others_)
            if (!other->keys.empty() && most_common(transposition_of_notes(*other)) % 12 == 0)
                concert_parts_.push_back(other);
        for (const int t : {0, transposition, -2, -3, 3})
            if (positive_mod(t - said_, 12) != 0 &&
                std::find(candidates_.begin(), candidates_.end(), t) == candidates_.end())
                candidates_.push_back(t);
        enough_ = harmony_.quarters() >= fewest_quarters && int(notes_.size()) >= fewest_notes;
        as_said_ = harmony_.agreement(0);
    }

    std::optional<BasisFinding> finding() const
    {
        if (notes_.empty())
            return {};
        if (auto found = by_key())
            return found;
        if (auto found = by_harmony())
            return found;
        return by_compass();
    }

private:
    double agreement(int transposition) const { return harmony_.agreement(transposition - said_); }

    /// The signature that most non-transposing parts print here, if any does.
    std::optional<int> concert_key(double quarter) const
    {
        std::map<int, int> votes;
        for (const Line* other : concert_parts_)
            ++votes[key_at(other->keys, quarter)];
        const auto most = std::max_element(votes.begin(), votes.end(),
                                           [](const auto& a, const auto& b) { return a.second < b.second; });
        if (most == votes.end())
            return {};
        return most->first;
    }

    std::optional<BasisFinding> by_key() const
    {
        if (part_.keys.empty())
            return {};
        int asked = 0, as_said = 0, first_printed = 0, first_concert = 0;
        std::map<int, int> as_candidate;
        for (const Note* note : notes_) {
            const int printed = key_at(part_.keys, note->start_quarter);
            const auto concert = concert_key(note->start_quarter);
            if (printed == 0 || !concert) // none may be an old or a new custom, not a key
                continue;
            const auto fits = [&](int t) { return positive_mod(printed - *concert + 7 * t, 12) == 0; };
            if (asked++ == 0) {
                first_printed = printed;
                first_concert = *concert;
            }
            as_said += fits(said_);
            for (const int t : candidates_)
                as_candidate[t] += fits(t);
        }
        for (const int t : candidates_) {
            if (asked < 4 || as_candidate[t] < 0.9 * asked || as_said > 0.1 * asked)
                continue;
            if (enough_ && as_said_ > agreement(t) + against)
                continue;
            BasisFinding found{Grade::risky, BasisFinding::key, said_, t, ""};
            found.detail = "the part is " + read_words(said_) + ", but its signature (" +
                           signature_words(first_printed) + ", the score's " +
                           signature_words(first_concert) + ") looks " + looks_like(t, transposition_) +
                           figures(t);
            return found;
        }
        return {};
    }

    std::optional<BasisFinding> by_harmony() const
    {
        if (!enough_ || candidates_.empty())
            return {};
        const int best = *std::max_element(candidates_.begin(), candidates_.end(),
                                           [&](int a, int b) { return agreement(a) < agreement(b); });
        if (agreement(best) < fits_at_all || agreement(best) < as_said_ + clearly_better)
            return {};
        const int apart = positive_mod(best - said_, 12);
        if (apart >= 3 && apart <= 9 && int(notes_.size()) < fewest_notes_far_off)
            return {};
        BasisFinding found{Grade::risky, BasisFinding::harmony, said_, best, ""};
        found.detail = "the part is " + read_words(said_) + ", but its notes look " +
                       looks_like(best, transposition_) + figures(best);
        return found;
    }

    std::string figures(int fits) const
    {
        if (!enough_)
            return "";
        return ": beside the other parts they agree " + figure(agreement(fits)) + " that way and " +
               figure(as_said_) + " as read, over " + std::to_string(harmony_.quarters()) + " quarters";
    }

    /// Notes outside the compass if the printed notes sound `t` semitones off.
    int outside(int t) const
    {
        int count = 0;
        for (const Note* note : notes_) {
            const int written = note->printed + t - transposition_;
            count += written < member_->lowest.number || written > member_->top_extreme.number;
        }
        return count;
    }

    std::optional<BasisFinding> by_compass() const
    {
        if (member_ == nullptr)
            return {};
        const int count = int(notes_.size()), wrong = outside(said_);
        if (wrong < 3 || wrong * 20 < count)
            return {};
        std::vector<int> ways{0, transposition_};
        for (const Notation& notation : member_->notations)
            ways.push_back(notation.transposition);
        for (const int t : ways) {
            if (t == said_ || outside(t) * 100 > count)
                continue;
            if (enough_ && as_said_ > agreement(t) + against)
                continue;
            BasisFinding found{Grade::risky, BasisFinding::compass, said_, t, ""};
            found.detail = std::to_string(wrong) + " of " + std::to_string(count) + " notes lie off the " +
                           member_->title + " as the part is read (" + read_words(said_) + "); " +
                           (outside(t) == 0 ? "none does" : std::to_string(outside(t)) + " do") +
                           " if it is " + looks_like(t, transposition_);
            return found;
        }
        return {};
    }

    const Line& part_;
    int transposition_ = 0, said_ = 0;
    const FamilyMember* member_ = nullptr;
    std::vector<const Note*> notes_;
    std::vector<const Line*> others_;
    std::vector<const Line*> concert_parts_; // of them, those that print the concert key
    Harmony harmony_;
    std::vector<int> candidates_;
    bool enough_ = false;
    double as_said_ = 0.0;
};

} // namespace

std::optional<BasisFinding> pitch_basis_looks_wrong(const Line& part,
                                                    const std::vector<const Line*>& other_parts,
                                                    int transposition, const FamilyMember* member)
{
    if (member == nullptr)
        for (const FamilyMember& each : family())
            if (each.transposition == transposition) {
                member = &each;
                break;
            }
    return Inquiry(part, other_parts, transposition, member).finding();
}

} // namespace canebrake
