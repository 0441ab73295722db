// SPDX-License-Identifier: MIT
#include "tests/golden/golden.h"

#include "engine/files/phrase/read_phrase.h"
#include "engine/listening/listening.h"
#include "engine/part/choose_part.h"
#include "engine/part/pitch_basis.h"
#include "engine/plan/pace.h"
#include "engine/rendering/rendering.h"

#include <fmt/format.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <ostream>
#include <sstream>
#include <stdexcept>

namespace canebrake::golden
{
namespace
{

const std::filesystem::path source{CANEBRAKE_SOURCE_DIR};
constexpr const char* header = "phrase,note,bar,written";

/// Digits kept: a hundredth of a tolerance.
std::string figure(Column column, double value)
{
    return column == centroid_hz || column == speaking_ms ? fmt::format("{:.1f}", value)
                                                          : fmt::format("{:.2f}", value);
}

std::vector<std::string> cells(const std::string& line)
{
    std::vector<std::string> found;
    std::istringstream in(line);
    for (std::string cell; std::getline(in, cell, ',');)
        found.push_back(cell);
    return found;
}

Row read_row(const std::string& line)
{
    const std::vector<std::string> cell = cells(line);
    if (cell.size() != 4 + column_count)
        throw std::runtime_error("found '" + line + "', wanted eight cells");
    Row row{cell[0], std::stoi(cell[1]), cell[2], cell[3], {}};
    for (std::size_t c = 0; c < column_count; ++c)
        if (cell[4 + c] != "-")
            row.figures[c] = std::stod(cell[4 + c]);
    return row;
}

std::string name(const Row& row)
{
    return fmt::format("{}, note {} (bar {}, {})", row.phrase, row.note, row.bar, row.written);
}

std::string told(Column column, const std::optional<double>& value)
{
    return value ? figure(column, *value) : "none";
}

} // namespace

double Tolerance::of(double kept) const
{
    return absolute + share * std::abs(kept);
}

std::vector<Phrase> phrases()
{
    std::vector<Phrase> all;
    for (const char* file : {"assets/phrases/over-the-break", "assets/phrases/wide-slurs",
                             "assets/phrases/quick-tongue", "assets/phrases/trills-and-graces",
                             "assets/phrases/from-nothing", "tests/golden/phrases/low-and-loud",
                             "tests/golden/phrases/soft-and-high", "tests/golden/phrases/same-note",
                             "tests/golden/phrases/throat-notes", "tests/golden/phrases/turning-fingers"}) {
        std::ifstream in(source / (std::string(file) + ".txt"));
        if (!in)
            throw std::runtime_error(std::string(file) + ".txt cannot be read");
        all.push_back(
            {std::filesystem::path(file).filename().string(), {std::istreambuf_iterator<char>(in), {}}});
    }
    return all;
}

std::vector<Row> measure(const Instrument& instrument, const Phrase& phrase)
{
    const RenderSettings settings;
    TrillBook book(instrument, settings.kit);
    Line line = choose_part(read_phrase(phrase.words), "");
    set_pitch_basis(line, PitchBasis::written, instrument.transposition);
    place_grace_notes(line);
    write_out_ornaments(line, pace_of(book, settings.kit));
    Rendering rendering(book, line, settings);
    std::vector<float> audio(rendering.total_samples());
    rendering.process(audio);

    const auto sample = [&](double time_s) {
        return std::min(audio.size(), std::size_t(std::llround(time_s * settings.rate.value)));
    };
    std::vector<Row> rows;
    for (std::size_t i = 0; i < rendering.notes().size(); ++i) {
        const PlannedNote& note = rendering.notes()[i];
        Row& row = rows.emplace_back(Row{phrase.name,
                                         int(i) + 1,
                                         line.notes[note.line_note].source.bar,
                                         pitch_name(note.written.number),
                                         {}});
        if (note.silent)
            continue;
        const std::size_t from = sample(note.start_s);
        const std::size_t to = sample(std::min(note.end_s, rendering.sounding_end(i)));
        const NoteMeasure heard =
            measure_note(std::span(audio).subspan(from, to - from), settings.rate, note.target_hz);
        row.figures[level_db] = heard.level_db;
        if (!heard.in_register)
            continue;
        row.figures[cents] = heard.cents;
        row.figures[centroid_hz] = heard.centroid_hz;
        row.figures[speaking_ms] = 1e3 * heard.speaking_s;
    }
    return rows;
}

std::vector<Row> measure_all(const Instrument& instrument)
{
    std::vector<Row> all;
    for (const Phrase& phrase : phrases()) {
        const std::vector<Row> rows = measure(instrument, phrase);
        all.insert(all.end(), rows.begin(), rows.end());
    }
    return all;
}

void write(std::ostream& out, const std::vector<Row>& rows)
{
    out << header;
    for (const Tolerance& t : tolerances)
        out << ',' << t.column;
    out << '\n';
    for (const Row& row : rows) {
        out << row.phrase << ',' << row.note << ',' << row.bar << ',' << row.written;
        for (std::size_t c = 0; c < column_count; ++c)
            out << ',' << (row.figures[c] ? figure(Column(c), *row.figures[c]) : "-");
        out << '\n';
    }
}

std::string kept_file(const std::string& instrument)
{
    return (source / "tests/golden" / (instrument + ".csv")).string();
}

std::vector<Row> kept(const std::string& instrument, const std::string& phrase)
{
    std::ifstream in(kept_file(instrument));
    std::string line;
    if (!std::getline(in, line) || !line.starts_with(header))
        throw std::runtime_error(kept_file(instrument) + ": found no kept figures");
    std::vector<Row> rows;
    while (std::getline(in, line))
        if (Row row = read_row(line); phrase.empty() || row.phrase == phrase)
            rows.push_back(std::move(row));
    return rows;
}

std::vector<std::string> differences(const std::vector<Row>& old, const std::vector<Row>& now)
{
    std::vector<std::string> found;
    for (std::size_t i = 0; i < std::max(old.size(), now.size()); ++i) {
        if (i >= old.size() || i >= now.size()) {
            found.push_back(fmt::format("{} notes are kept, {} were played", old.size(), now.size()));
            break;
        }
        if (name(old[i]) != name(now[i])) {
            found.push_back(
                fmt::format("{} was {}: the notes are others from here on", name(now[i]), name(old[i])));
            break;
        }
        for (std::size_t c = 0; c < column_count; ++c) {
            const auto &was = old[i].figures[c], &is = now[i].figures[c];
            const bool alike = was && is ? std::abs(*is - *was) <= tolerances[c].of(*was)
                                         : was.has_value() == is.has_value();
            if (!alike)
                found.push_back(fmt::format("{}: {} was {}, is {}", name(now[i]), tolerances[c].column,
                                            told(Column(c), was), told(Column(c), is)));
        }
    }
    return found;
}

} // namespace canebrake::golden
