// SPDX-License-Identifier: MIT
#include "engine/comparison/match_notes.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>

namespace canebrake
{
namespace
{
constexpr double in_tune_cents = 50.0;
constexpr double other_note_cents = 200.0; // a wrong note costs no more from here on
constexpr double in_tune_cost = 0.2, other_note_cost = 1.0, rhythm_cost = 0.15;
constexpr double alone_cost = 0.65; // two notes alone cost more than a wrong note, whatever its rhythm
constexpr std::size_t least_band = 256, most_cells = 64'000'000;
constexpr std::size_t shifts_tried = 6;

/// What is compared of a note: cents over 1 Hz, and how long until the next begins over what is usual.
struct Told {
    double cents = 0.0, octaves_of_time = 0.0;
};

std::vector<Told> told(std::span<const FoundNote> notes)
{
    std::vector<Told> result(notes.size());
    std::vector<double> lengths;
    for (std::size_t i = 0; i < notes.size(); ++i) {
        const double next_s = i + 1 < notes.size() ? notes[i + 1].start_s : notes[i].end_s;
        lengths.push_back(std::max(1e-3, next_s - notes[i].start_s));
        result[i] = {1200.0 * std::log2(std::max(1.0, notes[i].hz)), std::log2(lengths.back())};
    }
    if (!lengths.empty()) {
        const auto middle = lengths.begin() + std::ptrdiff_t(lengths.size() / 2);
        std::nth_element(lengths.begin(), middle, lengths.end());
        for (Told& note : result)
            note.octaves_of_time -= std::log2(*middle);
    }
    return result;
}

/// Where note `i` of the first would lie in the second if both went evenly.
std::size_t even_place(std::size_t i, std::size_t first, std::size_t second)
{
    return std::size_t(double(i) * double(second) / double(std::max<std::size_t>(first, 1)) + 0.5);
}

double cost_of(const Told& a, const Told& b, double shift)
{
    const double off = std::abs(b.cents - a.cents - shift);
    const double beyond = std::clamp((off - in_tune_cents) / (other_note_cents - in_tune_cents), 0.0, 1.0);
    const double pitch =
        in_tune_cost * std::min(off / in_tune_cents, 1.0) + (other_note_cost - in_tune_cost) * beyond;
    return pitch + rhythm_cost * std::min(std::abs(b.octaves_of_time - a.octaves_of_time), 1.0);
}

struct Alignment {
    std::vector<NotePair> pairs;
    double cost = 0.0;
};

/// Needleman and Wunsch's table, of which only a band about the even diagonal is filled; one byte a cell is
/// kept, the costs of two rows.
Alignment align(std::span<const Told> first, std::span<const Told> second, double shift)
{
    enum Step : std::uint8_t { both, only_first, only_second };
    const std::size_t n = first.size(), m = second.size();
    const std::size_t apart = n > m ? n - m : m - n;
    const std::size_t half = std::min({least_band + apart, m, most_cells / (2 * (n + 1)) + least_band});
    const std::size_t width = 2 * half + 1;
    constexpr double never = 1e30;
    std::vector<std::uint8_t> steps((n + 1) * width, only_second);
    std::vector<double> row(width + 1, never), last(width + 1, never);
    // Column c of row i stands for j = even_place(i) + c − half notes of the second.
    std::size_t last_place = 0;
    for (std::size_t i = 0; i <= n; ++i) {
        const std::size_t place = even_place(i, n, m), moved = place - last_place;
        std::fill(row.begin(), row.end(), never);
        for (std::size_t c = half - std::min(half, place); c < width && place + c - half <= m; ++c) {
            const std::size_t j = place + c - half, above = c + moved; // the same j, a row up
            double best = i == 0 && j == 0 ? 0.0 : never;
            std::uint8_t step = only_second;
            const auto consider = [&](double cost, std::uint8_t way) {
                if (cost < best) {
                    best = cost;
                    step = way;
                }
            };
            if (i > 0 && j > 0 && above >= 1 && above - 1 < width)
                consider(last[above - 1] + cost_of(first[i - 1], second[j - 1], shift), both);
            if (i > 0 && above < width)
                consider(last[above] + alone_cost, only_first);
            if (j > 0 && c > 0)
                consider(row[c - 1] + alone_cost, only_second);
            row[c] = best;
            steps[i * width + c] = step;
        }
        std::swap(row, last);
        last_place = place;
    }
    Alignment result;
    result.cost = last[m + half - even_place(n, n, m)];
    for (std::size_t i = n, j = m; i > 0 || j > 0;) {
        const std::size_t c = j + half - even_place(i, n, m);
        const auto step = steps[i * width + c];
        NotePair pair;
        if (step != only_second)
            pair.first = --i;
        if (step != only_first)
            pair.second = --j;
        result.pairs.push_back(pair);
    }
    std::reverse(result.pairs.begin(), result.pairs.end());
    return result;
}

/// Distances at which many notes of the two lie that also go on by the same interval, the commonest first.
std::vector<double> likely_shifts(std::span<const Told> first, std::span<const Told> second)
{
    constexpr double bin_cents = 25.0;
    constexpr std::size_t look_about = 32;
    std::map<long, double> votes;
    for (std::size_t i = 0; i < first.size(); ++i) {
        const std::size_t place = even_place(i, first.size(), second.size());
        for (std::size_t j = place - std::min(place, look_about);
             j < std::min(second.size(), place + look_about + 1); ++j) {
            const double distance = second[j].cents - first[i].cents;
            double weight = 0.05;
            if (i + 1 < first.size() && j + 1 < second.size() &&
                std::abs(second[j + 1].cents - first[i + 1].cents - distance) < in_tune_cents)
                weight = 1.0;
            const long bin = std::lround(distance / bin_cents);
            for (const long near : {-1L, 0L, 1L})
                votes[bin + near] += near == 0 ? weight : 0.5 * weight;
        }
    }
    std::vector<double> shifts{0.0};
    while (shifts.size() < shifts_tried && !votes.empty()) {
        const auto top = std::max_element(votes.begin(), votes.end(),
                                          [](const auto& a, const auto& b) { return a.second < b.second; });
        const long bin = top->first;
        shifts.push_back(double(bin) * bin_cents);
        votes.erase(votes.lower_bound(bin - 1), votes.upper_bound(bin + 1));
    }
    return shifts;
}

/// The middle distance of the pairs that lie within a quarter-tone of `shift`; 0 unless they are half of all.
double sharpened(double shift, const Alignment& alignment, std::span<const Told> first,
                 std::span<const Told> second)
{
    std::vector<double> distances;
    for (const NotePair& pair : alignment.pairs)
        if (pair.first && pair.second) {
            const double distance = second[*pair.second].cents - first[*pair.first].cents;
            if (std::abs(distance - shift) <= in_tune_cents)
                distances.push_back(distance);
        }
    if (distances.empty() || 2 * distances.size() < std::min(first.size(), second.size()))
        return 0.0;
    std::sort(distances.begin(), distances.end());
    return 0.5 * (distances[(distances.size() - 1) / 2] + distances[distances.size() / 2]);
}
} // namespace

NoteMatch match_notes(std::span<const FoundNote> first, std::span<const FoundNote> second)
{
    const auto a = told(first), b = told(second);
    double shift = 0.0, least = 1e30;
    Alignment best;
    for (const double tried : likely_shifts(a, b)) {
        Alignment alignment = align(a, b, tried);
        const double rather_near =
            0.01 * std::min(std::abs(tried) / 100.0, 24.0); // of two as good, the nearer
        if (alignment.cost + rather_near < least) {
            least = alignment.cost + rather_near;
            best = std::move(alignment);
            shift = tried;
        }
    }
    const double sharper = sharpened(shift, best, a, b);
    return {align(a, b, sharper).pairs, sharper};
}

} // namespace canebrake
