// SPDX-License-Identifier: MIT
#include "engine/files/writing/page_marks.h"

#include "engine/files/writing/page_values.h"
#include "engine/files/writing/xml_insert.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace canebrake::musicxml
{

namespace
{

using pugi::xml_node;

constexpr double same = 1e-6;
constexpr double slowing = 0.80, quickening = 1.15; // what the reader takes "rit." and "accel." for
constexpr double worth_printing = 0.03;             // smaller steps of a played tempo are only sounded

const char* letters_of(double level)
{
    static constexpr std::array<const char*, 9> letters{"n", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"};
    if (level == 4.5)
        return "pf";
    return letters[std::size_t(std::clamp(int(std::lround(level)), -1, 7) + 1)];
}
double on_ladder(double level)
{
    return level == 4.5 ? level : std::clamp(std::round(level), -1.0, 7.0);
}

class Marks
{
public:
    Marks(const Line& line, const PageTime& page, std::vector<std::string>& remarks)
        : line_(line), page_(page), remarks_(remarks)
    {
        played_ = std::any_of(line.notes.begin(), line.notes.end(),
                              [](const Note& note) { return note.source.id.starts_with("track "); });
    }

    std::vector<PageMark> collect()
    {
        for (std::size_t i = 0; i < page_.bars.size(); ++i)
            if (const std::string text = printable(page_.bars[i].rehearsal); !text.empty())
                marks_.push_back({page_.bar_starts[i], true, [text](xml_node direction) {
                                      direction.append_child("direction-type")
                                          .append_child("rehearsal")
                                          .text()
                                          .set(text.c_str());
                                  }});
        tempo();
        accents();
        dynamics();
        std::stable_sort(marks_.begin(), marks_.end(),
                         [](const PageMark& a, const PageMark& b) { return a.at < b.at; });
        return std::move(marks_);
    }

private:
    /// Where a moment of the line is on the page: notes may have been moved.
    Fraction place(double quarter) const
    {
        const auto note = std::lower_bound(line_.notes.begin(), line_.notes.end(), quarter - same,
                                           [](const Note& n, double q) { return n.start_quarter < q; });
        const auto i = std::size_t(note - line_.notes.begin());
        const Fraction at = note != line_.notes.end() && note->start_quarter < quarter + same
                                ? page_.notes[i].start
                                : page_fraction(std::max(0.0, quarter));
        return std::min(at, page_.bar_starts.back());
    }

    void level_mark(Fraction at, const std::string& letters)
    {
        marks_.push_back({at, false, [letters](xml_node direction) {
                              direction.append_child("direction-type")
                                  .append_child("dynamics")
                                  .append_child(letters.c_str());
                          }});
    }
    void wedge(Fraction at, const char* type, bool niente)
    {
        marks_.push_back({at, false, [type, niente](xml_node direction) {
                              xml_node sign = direction.append_child("direction-type").append_child("wedge");
                              sign.append_attribute("type") = type;
                              if (niente)
                                  sign.append_attribute("niente") = "yes";
                          }});
    }

    /// sf and fp; the level that fp goes on at is part of the sign.
    void accents()
    {
        for (std::size_t i = 0; i < line_.notes.size(); ++i) {
            const Note& note = line_.notes[i];
            if (note.articulations & art_sforzando)
                level_mark(page_.notes[i].start, "sfz");
            if (!(note.articulations & art_forte_piano))
                continue;
            std::string sign = "fp";
            for (std::size_t p = 0; p < line_.dynamics.size(); ++p) {
                const DynamicPoint& point = line_.dynamics[p];
                if (std::abs(point.quarter - note.start_quarter) > same ||
                    (point.level != 2.0 && point.level != 1.0))
                    continue;
                sign = point.level == 1.0 ? "sfpp" : "fp";
                in_accent_.push_back(p);
                break;
            }
            level_mark(page_.notes[i].start, sign);
        }
    }

    void dynamics()
    {
        const std::vector<DynamicPoint>& points = line_.dynamics;
        double level = 4.0; // what a reader assumes before anything is said
        int way = 0;        // of the hairpin that ends at this point
        std::size_t rounded = 0;
        for (std::size_t i = 0; i < points.size(); ++i) {
            const DynamicPoint& point = points[i];
            const Fraction at = place(point.quarter);
            const double here = on_ladder(point.level);
            rounded += here != point.level;
            const bool more = i + 1 < points.size();
            const bool in_accent = std::find(in_accent_.begin(), in_accent_.end(), i) != in_accent_.end();
            if (way != 0) {
                const bool to_niente = here == -1.0 && way < 0;
                wedge(at, "stop", to_niente);
                // One step is what a hairpin means by itself, where a sudden other level follows.
                const bool sudden = more && points[i + 1].quarter - point.quarter < same &&
                                    (points[i + 1].level - here) * way < 0 &&
                                    here == std::clamp(level + way, 0.0, 7.0);
                if (!to_niente && !sudden && here != level)
                    level_mark(at, letters_of(here));
            } else {
                const bool from_niente = here == -1.0 && point.ramp;
                const bool known = here == level && (point.ramp || here != point.level || played_);
                if (!from_niente && !known && !in_accent)
                    level_mark(at, letters_of(here));
            }
            way = 0;
            level = here;
            if (!point.ramp || !more)
                continue;
            const double goal = on_ladder(points[i + 1].level);
            way = goal > here ? 1 : goal < here ? -1 : 0;
            if (way == 0 && here == point.level && goal == points[i + 1].level)
                way = here == 7.0 ? 1 : here == 0.0 ? -1 : 0; // nowhere left to go
            if (place(points[i + 1].quarter) <= at)
                way = 0;
            if (way != 0)
                wedge(at, way > 0 ? "crescendo" : "diminuendo", here == -1.0);
        }
        if (rounded > 0)
            remarks_.push_back(fmt::format(
                "{} of {} points of the dynamics lie between the steps of the ladder: the nearest is written",
                rounded, points.size()));
    }

    void number(double quarter, double quarters_per_minute, bool hidden = false)
    {
        const Fraction at = place(quarter);
        while (!marks_.empty() && marks_.back().at == at && !marks_.back().sound_tempo.empty())
            marks_.pop_back(); // the last one said at a place counts
        const auto after = std::upper_bound(page_.bar_starts.begin(), page_.bar_starts.end(), at);
        const auto bar =
            std::min<std::size_t>(std::size_t(after - page_.bar_starts.begin()), page_.bars.size()) - 1;
        const Meter meter{page_.bars[bar].beats, page_.bars[bar].beat_type, {}};
        const bool dotted = meter.compound();
        const int exponent =
            int(std::log2(dotted ? 8.0 / meter.beat_type : 4.0 / std::min(meter.beat_type, 4)));
        const double printed = quarters_per_minute / std::ldexp(dotted ? 1.5 : 1.0, exponent);
        if (played_ && shown_ > 0.0 && std::abs(printed / shown_ - 1.0) < worth_printing)
            hidden = true;
        if (!hidden)
            shown_ = printed;
        const std::string word = value_word(exponent);
        const std::string beats = decimal(std::round(printed * 100.0) / 100.0);
        marks_.push_back({at, true,
                          [word, dotted, beats, hidden](xml_node direction) {
                              xml_node sign =
                                  direction.append_child("direction-type").append_child("metronome");
                              if (hidden)
                                  sign.append_attribute("print-object") = "no";
                              sign.append_child("beat-unit").text().set(word.c_str());
                              if (dotted)
                                  sign.append_child("beat-unit-dot");
                              sign.append_child("per-minute").text().set(beats.c_str());
                          },
                          decimal(quarters_per_minute)});
    }

    /// The bar line behind the next bar, where the reader ends a "rit." that no number ends.
    Fraction reach(Fraction at) const
    {
        const auto after = std::upper_bound(page_.bar_starts.begin(), page_.bar_starts.end(), at);
        const auto i = std::size_t(after - page_.bar_starts.begin());
        return page_.bar_starts[std::min(i + 1, page_.bar_starts.size() - 1)];
    }

    void tempo()
    {
        const std::vector<TempoPoint>& points = line_.tempo;
        double steady = 0.0;
        std::size_t in_steps = 0;
        for (std::size_t i = 0; i < points.size(); ++i) {
            const TempoPoint& point = points[i];
            const bool more = i + 1 < points.size();
            const Fraction at = place(point.quarter);
            if (more && place(points[i + 1].quarter) == at && !point.ramp)
                continue;
            const bool ends_the_piece = i > 0 && at == page_.bar_starts.back();
            if (ends_the_piece)
                break;
            const double qpm = point.quarters_per_minute;
            if (!(point.ramp && qpm == steady))
                number(point.quarter, qpm);
            steady = qpm;
            if (!point.ramp || !more || points[i + 1].quarter <= point.quarter)
                continue;
            const TempoPoint& goal = points[i + 1];
            const double factor = goal.quarters_per_minute / qpm;
            const bool rit = std::abs(factor - slowing) < same, accel = std::abs(factor - quickening) < same;
            if ((rit || accel) && place(goal.quarter) <= reach(at)) {
                const std::string text = rit ? "rit." : "accel.";
                marks_.push_back({at, true, [text](xml_node direction) {
                                      xml_node words =
                                          direction.append_child("direction-type").append_child("words");
                                      words.append_attribute("font-style") = "italic";
                                      words.text().set(text.c_str());
                                  }});
                continue;
            }
            ++in_steps;
            const double length = goal.quarter - point.quarter;
            const int steps = std::clamp(int(std::ceil(length)), 1, 64);
            for (int k = 0; k < steps; ++k)
                number(point.quarter + length * k / steps,
                       qpm + (goal.quarters_per_minute - qpm) * (k + 0.5) / steps, true);
            steady = 0.0;
        }
        if (in_steps > 0)
            remarks_.push_back(fmt::format("{} gradual changes of tempo are written in steps", in_steps));
    }

    const Line& line_;
    const PageTime& page_;
    std::vector<std::string>& remarks_;
    std::vector<PageMark> marks_;
    std::vector<std::size_t> in_accent_; // points of the dynamics that an fp says
    double shown_ = 0.0;
    bool played_ = false;
};

} // namespace

std::string decimal(double value)
{
    return fmt::format("{}", value).ends_with(".0") ? fmt::format("{:.0f}", value) : fmt::format("{}", value);
}

std::vector<PageMark> page_marks(const Line& line, const PageTime& page, std::vector<std::string>& remarks)
{
    return Marks(line, page, remarks).collect();
}

void print_mark(xml_node measure, const PageMark& mark, Fraction offset, std::int64_t divisions)
{
    xml_node direction = measure.append_child("direction");
    direction.append_attribute("placement") = mark.above ? "above" : "below";
    mark.print(direction);
    if (offset.num != 0) {
        xml_node moved = direction.append_child("offset");
        moved.append_attribute("sound") = "yes";
        moved.text().set(decimal((offset * Fraction{divisions, 1}).value()).c_str());
    }
    if (!mark.sound_tempo.empty())
        direction.append_child("sound").append_attribute("tempo") = mark.sound_tempo.c_str();
}

} // namespace canebrake::musicxml
