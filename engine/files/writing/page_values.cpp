// SPDX-License-Identifier: MIT
#include "engine/files/writing/page_values.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <optional>

namespace canebrake::musicxml
{

namespace
{

constexpr int shortest = -8, longest = 5; // 1024th, maxima

Fraction power(int exponent)
{
    return exponent >= 0 ? Fraction::of(std::int64_t(1) << exponent, 1)
                         : Fraction::of(1, std::int64_t(1) << -exponent);
}

std::int64_t odd_part(std::int64_t n)
{
    while (n > 1 && n % 2 == 0)
        n /= 2;
    return n;
}
bool binary(Fraction f)
{
    return odd_part(f.den) == 1;
}
Fraction whole_beats(Fraction position, Fraction beat, bool up)
{
    const Fraction n = position / beat;
    std::int64_t whole = n.num / n.den;
    if (up && whole * n.den != n.num)
        ++whole;
    return beat * Fraction{whole, 1};
}

/// The one value with up to `most_dots` dots that lasts so long.
std::optional<std::pair<int, int>> single_value(Fraction length, int most_dots)
{
    for (int e = longest; e >= shortest; --e) {
        Fraction value = power(e), dot = value;
        for (int dots = 0; dots <= most_dots; ++dots) {
            if (value == length)
                return std::pair{e, dots};
            dot = dot * Fraction{1, 2};
            value = value + dot;
        }
    }
    return {};
}

class Values
{
public:
    explicit Values(const Meter& meter) : meter_(meter), beat_(meter.beat()) {}

    std::vector<Piece> write(std::vector<Stretch> stretches)
    {
        stretches = cut_at_beats(stretches);
        for (std::size_t i = 0; i < stretches.size();) {
            const Stretch& each = stretches[i];
            if (binary(each.start) && binary(each.start + each.length)) {
                write_plain(each);
                ++i;
                continue;
            }
            std::size_t end = i + 1;
            while (end < stretches.size() && !binary(stretches[end].start))
                ++end;
            write_tuplet(stretches, i, end);
            i = end;
        }
        return std::move(pieces_);
    }

private:
    /// Inside tuplets, long notes and rests show the beat, too.
    std::vector<Stretch> cut_at_beats(const std::vector<Stretch>& stretches) const
    {
        std::vector<Stretch> cut;
        for (const Stretch& each : stretches) {
            const Fraction end = each.start + each.length;
            if (binary(each.start) == binary(end) && (binary(end) || each.note >= 0)) {
                cut.push_back(each);
                continue;
            }
            const std::int64_t odd = odd_part(each.length.den);
            const Fraction written = each.length * Fraction::of(odd, tuplet_normal(odd));
            if (each.note >= 0 && single_value(written, 0)) {
                cut.push_back(each);
                continue;
            }
            std::vector<Fraction> at{each.start};
            const Fraction first = whole_beats(each.start, beat_, true),
                           last = whole_beats(end, beat_, false);
            if (!binary(each.start) && first < end)
                at.push_back(first);
            if (!binary(end) && last > at.back())
                at.push_back(last);
            at.push_back(end);
            for (std::size_t i = 0; i + 1 < at.size(); ++i)
                cut.push_back({at[i], at[i + 1] - at[i], each.note, each.goal});
        }
        return cut;
    }

    static std::int64_t tuplet_normal(std::int64_t actual)
    {
        std::int64_t normal = 1;
        while (normal * 2 < actual)
            normal *= 2;
        return normal;
    }

    void write_tuplet(const std::vector<Stretch>& stretches, std::size_t begin, std::size_t end)
    {
        std::int64_t actual = 1;
        for (std::size_t i = begin; i < end; ++i)
            actual = std::lcm(actual, odd_part(stretches[i].length.den));
        const std::int64_t normal = tuplet_normal(actual);
        const Fraction scale = Fraction::of(actual, normal);
        const std::size_t first = pieces_.size();
        for (std::size_t i = begin; i < end; ++i) {
            Stretch rest = stretches[i];
            Fraction written = rest.length * scale;
            while (written.num > 0) {
                auto value = single_value(written, 1);
                for (int e = longest; !value && e >= shortest; --e)
                    if (power(e) <= written)
                        value = {e, 0};
                if (!value) // shorter than the shortest; page_time leaves none
                    value = {shortest, 0};
                Fraction part = power(value->first);
                if (value->second == 1)
                    part = part * Fraction{3, 2};
                part = std::min(part, written);
                const Fraction sounds = part / scale;
                pieces_.push_back({{rest.start, sounds, rest.note, rest.goal},
                                   value->first,
                                   value->second,
                                   int(actual),
                                   int(normal)});
                rest.start = rest.start + sounds;
                written = written - part;
            }
        }
        if (actual > 1 && pieces_.size() > first + 1)
            pieces_[first].tuplet_start = pieces_.back().tuplet_stop = true;
    }

    /// 0 a bar line, 1 the middle of four or a beat of three eighths, 2 a beat, 3 … its halves.
    int strength(Fraction position) const
    {
        const Fraction at = position + meter_.upbeat;
        if (at.num == 0)
            return 0;
        const Fraction in_beats = at / beat_;
        if (in_beats.den == 1)
            return meter_.compound() || (meter_.beats == 4 && in_beats.num == 2) ? 1 : 2;
        Fraction unit = meter_.compound() ? beat_ * Fraction{1, 3} : beat_ * Fraction{1, 2};
        for (int level = 3; level < 16; ++level) {
            if ((at / unit).den == 1)
                return level;
            unit = unit * Fraction{1, 2};
        }
        return 16;
    }

    /// The strongest place inside; of equals the last if the stretch begins on a stronger one than it ends.
    Fraction strongest_inside(Fraction start, Fraction end, int& level) const
    {
        const bool late = strength(start) < strength(end);
        Fraction best = start;
        level = 100;
        std::vector<Fraction> units{beat_};
        for (int i = 0; i < 12; ++i)
            units.push_back(units.back() * (i == 0 && meter_.compound() ? Fraction{1, 3} : Fraction{1, 2}));
        for (const Fraction unit : units) {
            Fraction at = whole_beats(start + meter_.upbeat, unit, true) - meter_.upbeat;
            if (at <= start)
                at = at + unit;
            for (; at < end; at = at + unit) {
                const int here = strength(at);
                if (here < level || (late && here == level)) {
                    level = here;
                    best = at;
                }
            }
            if (level < 100)
                break;
        }
        return best;
    }

    void write_plain(const Stretch& each)
    {
        const Fraction end = each.start + each.length;
        const bool rest = each.note < 0;
        int crossed = 100;
        const Fraction cut = strongest_inside(each.start, end, crossed);
        // A note may hide a place one step stronger than both its ends; a rest only weaker ones, and in
        // three or five no beat.
        const int begins = strength(each.start), ends = strength(end);
        const bool odd_beats = !meter_.compound() && meter_.beats % 2 == 1;
        const bool in_order = rest ? crossed >= std::max(begins, ends) && !(odd_beats && each.length > beat_)
                                   : crossed >= std::min(begins, ends) - 1;
        const auto value = single_value(each.length, rest ? (meter_.compound() ? 1 : 0) : 2);
        if ((value && in_order) || cut == each.start) {
            const auto [exponent, dots] = value.value_or(std::pair{shortest, 0});
            pieces_.push_back({each, exponent, dots});
            return;
        }
        write_plain({each.start, cut - each.start, each.note, each.goal});
        write_plain({cut, end - cut, each.note, each.goal});
    }

    const Meter& meter_;
    Fraction beat_;
    std::vector<Piece> pieces_;
};

int flags(const Piece& piece)
{
    return piece.of.note < 0 ? 0 : std::max(0, -piece.exponent);
}

void beam(std::vector<Piece>& pieces, std::size_t begin, std::size_t end)
{
    if (end - begin < 2)
        return;
    for (std::size_t i = begin; i < end; ++i) {
        const int own = flags(pieces[i]);
        const int before = i > begin ? flags(pieces[i - 1]) : 0,
                  after = i + 1 < end ? flags(pieces[i + 1]) : 0;
        for (int level = 1; level <= std::min(own, 8); ++level) {
            const bool left = before >= level, right = after >= level;
            pieces[i].beams.push_back(left && right ? "continue"
                                      : left        ? "end"
                                      : right       ? "begin"
                                      : i > begin   ? "backward hook"
                                                    : "forward hook");
        }
    }
}

void beam_by_beat(std::vector<Piece>& pieces, const Meter& meter)
{
    const Fraction beat = std::max(meter.beat(), Fraction{1, 1});
    std::size_t begin = 0;
    const auto beat_of = [&](std::size_t i) {
        return whole_beats(pieces[i].of.start + meter.upbeat, beat, false);
    };
    for (std::size_t i = 0; i <= pieces.size(); ++i) {
        const bool joins = i < pieces.size() && flags(pieces[i]) > 0;
        if (joins && i > begin && beat_of(i) == beat_of(begin))
            continue;
        beam(pieces, begin, i);
        begin = joins || i == pieces.size() ? i : i + 1;
    }
}

} // namespace

const char* value_word(int exponent)
{
    static constexpr std::array words{"1024th", "512th",   "256th", "128th", "64th",  "32nd", "16th",
                                      "eighth", "quarter", "half",  "whole", "breve", "long", "maxima"};
    return words[std::size_t(std::clamp(exponent, shortest, longest) - shortest)];
}

std::vector<Piece> page_values(const std::vector<Stretch>& stretches, const Meter& meter)
{
    if (stretches.size() == 1 && stretches[0].note < 0) {
        Piece rest{stretches[0], 2, 0};
        rest.whole_bar = true;
        return {rest};
    }
    std::vector<Piece> pieces = Values(meter).write(stretches);
    beam_by_beat(pieces, meter);
    return pieces;
}

} // namespace canebrake::musicxml
