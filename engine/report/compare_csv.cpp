// SPDX-License-Identifier: MIT
#include "engine/comparison/sides.h"
#include "engine/telling/names.h"

#include <fmt/format.h>

#include <cmath>
#include <iterator>

namespace canebrake
{
namespace
{

/// RFC 4180: a field with a comma, a quote or a line break stands in quotes.
std::string field(const std::string& text)
{
    if (text.find_first_of(",\"\r\n") == std::string::npos)
        return text;
    std::string quoted = "\"";
    for (const char c : text) {
        if (c == '"')
            quoted += '"';
        quoted += c;
    }
    return quoted + '"';
}

std::string number(const std::optional<double>& value, int decimals)
{
    return value && std::isfinite(*value) ? fmt::format("{:.{}f}", *value, decimals) : "";
}

std::string tone_heading()
{
    std::string text =
        "in_register,settled_hz,cents,level_db,loudness_lkfs,speaking_ms,centroid_hz,odd_over_even_db,"
        "even_over_neighbours_under_1200_hz_db,even_over_neighbours_1200_to_2000_hz_db,"
        "even_over_neighbours_2000_to_4000_hz_db,fundamental_share_db,noise_db";
    for (std::size_t h = 1; h <= tone_harmonics; ++h)
        text += fmt::format(",h{}_db", h);
    return text + ",words\r\n";
}

std::string tone_fields(const ToneMeasure& heard, const ToneFigures& f, const std::vector<Trait>& traits)
{
    std::string text =
        fmt::format("{},{},{},{},{},{},{},{}", heard.note.in_register ? "yes" : "no",
                    heard.note.settled_hz > 0.0 ? number(heard.note.settled_hz, 3) : "", number(f.cents, 2),
                    number(f.level_db, 2), number(f.loudness_lkfs, 2), number(f.speaking_ms, 1),
                    number(f.centroid_hz, 1), number(f.odd_over_even_db, 2));
    for (const auto& band : f.even_over_neighbours_db)
        text += ',' + number(band, 2);
    text += ',' + number(f.fundamental_share_db, 2) + ',' + number(f.noise_db, 2);
    for (const auto& level : heard.tone.harmonic_db)
        text += ',' + (heard.tone.fundamental_hz > 0.0 ? number(level, 2) : "");
    text += ',';
    for (std::size_t i = 0; i < traits.size(); ++i)
        text += (i > 0 ? "; " : "") + std::string(word(traits[i]));
    return text + "\r\n";
}

} // namespace

std::string compare_csv(const TonesReport& report)
{
    std::string text =
        "instrument,player,written,sounding,register,dynamic,fingering,before_lip_cents," + tone_heading();
    for (const ToneSide& side : report.sides)
        for (const NotesOfRegister& part : side.registers)
            for (const std::size_t n : part.notes) {
                const ToneNote& note = side.map.notes[n];
                for (std::size_t level = 0; level < note.cells.size(); ++level) {
                    const ToneCell& cell = note.cells[level];
                    text +=
                        fmt::format("{},{},{},{},{},{},{},{:.1f},", side.map.instrument->name,
                                    player_name(side.map.player), pitch_name(note.written.number),
                                    pitch_name(int(std::lround(note.sounding.number))), part.name,
                                    dynamic_name(cell.level), field(note.fingering), cell.before_lip_cents);
                    text += tone_fields(cell.heard, figures_of(cell.heard), side.traits[n][level]);
                }
            }
    return text;
}

std::string compare_csv(const LinesReport& report)
{
    std::string text =
        "row,side,bar,beat,written,sounding,register,dynamic,fingering,start_s,end_s," + tone_heading();
    for (std::size_t row = 0; row < report.rows.size(); ++row)
        for (std::size_t s = 0; s < report.sides.size(); ++s) {
            if (!report.rows[row][s])
                continue;
            const ComparedNote& note = report.sides[s].notes[*report.rows[row][s]];
            text += fmt::format(
                "{},{},{},{},{},{},{},{},{},{:.4f},{:.4f},", row + 1, field(report.sides[s].name),
                field(note.bar), note.bar.empty() ? "" : fmt::format("{:g}", note.beat), note.written_name,
                note.sounding_name, note.register_name, note.level ? dynamic_name(*note.level) : "",
                field(note.fingering), note.start_s, note.end_s);
            if (note.silent)
                text.append(13 + tone_harmonics, ',').append("silent\r\n");
            else
                text += tone_fields(note.heard, note.figures(), note.traits);
        }
    return text;
}

} // namespace canebrake
