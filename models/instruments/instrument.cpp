// SPDX-License-Identifier: MIT
#include "models/instruments/instrument.h"

#include "models/instruments/embedded.h"
#include "models/instruments/family.h"
#include "models/instruments/mechanism.h"
#include "models/instruments/tables.h"
#include "models/units/input_error.h"

#include <algorithm>
#include <array>
#include <map>
#include <memory>
#include <mutex>

namespace canebrake
{

Geometry read_geometry(std::string_view bore_csv, std::string_view holes_csv, const std::string& x_column)
{
    Geometry geometry;
    const CsvTable bore(bore_csv, "bore.csv"), holes(holes_csv, "holes.csv");
    for (std::size_t i = 0; i < bore.rows(); ++i)
        geometry.bore.push_back({bore.number(i, "x_mm") * 1e-3, bore.number(i, "radius_mm") * 1e-3});
    for (std::size_t i = 0; i < holes.rows(); ++i)
        geometry.holes.push_back({holes.text(i, "name"), holes.number(i, x_column) * 1e-3,
                                  holes.number(i, "radius_mm") * 1e-3, holes.number(i, "chimney_mm") * 1e-3,
                                  holes.text(i, "cover") == "pad" ? HoleCover::pad : HoleCover::finger,
                                  holes.number(i, "lift_mm") * 1e-3});
    return geometry;
}

namespace
{

FingeringUse read_use(const std::string& word, std::size_t row)
{
    if (word == "primary")
        return FingeringUse::primary;
    if (word == "alternate")
        return FingeringUse::alternate;
    if (word == "resonance")
        return FingeringUse::resonance;
    if (word == "trill")
        return FingeringUse::trill;
    throw InputError("fingerings.csv, row " + std::to_string(row + 1) + ": found use '" + word +
                     "', wanted primary, alternate, resonance or trill");
}

/// In the altissimo the soprano's first finger leaves its hole as a vent; on low clarinets it rolls to a
/// small one.
std::string half_holed(const std::string& keys)
{
    const auto thumb = keys.find("T L2");
    return keys.find("L1") != std::string::npos || thumb == std::string::npos
               ? keys
               : std::string(keys).replace(thumb, 1, "T H1");
}

/// Notes under E3, where the instrument goes on.
void add_low_notes(std::vector<Fingering>& chart, const Instrument& instrument)
{
    static constexpr std::array<std::pair<int, const char*>, 4> low{
        {{51, "lEb"}, {50, "lD"}, {49, "lCs"}, {48, "lC"}}};
    for (const auto& [number, key] : low) {
        if (instrument.lowest.number > number)
            break;
        Fingering f;
        f.written = {number};
        f.keys = std::string("T L1 L2 L3 R1 R2 R3 ") + key;
        f.use = FingeringUse::primary;
        f.primary = true;
        instrument.work_out_holes(f, instrument.mechanism);
        chart.push_back(f);
    }
}

} // namespace

void Instrument::work_out_holes(Fingering& f, const Mechanism& keywork) const
{
    f.holes = boehm_holes(f.keys, keywork);
    f.vent = 0.0;
    f.vent_number = 0;
    for (std::size_t v = 0; v < vents.size(); ++v) {
        const std::uint32_t bit = 1u << vents[v];
        if (f.holes.open & bit) {
            f.vent = 1.0;
            f.vent_number = v;
        }
        f.holes.open &= ~bit;
    }
}

std::vector<Fingering> read_fingerings(std::string_view csv, const Instrument& instrument)
{
    std::vector<Fingering> result;
    const CsvTable table(csv, "fingerings.csv");
    for (std::size_t i = 0; i < table.rows(); ++i) {
        const auto number = pitch_number(table.text(i, "written"));
        if (!number)
            throw InputError("fingerings.csv, row " + std::to_string(i + 1) + ": found '" +
                             table.text(i, "written") + "', wanted a pitch such as C#5");
        Fingering f;
        f.written = {*number};
        f.keys = table.text(i, "keys");
        f.name = table.text(i, "name");
        f.use = read_use(table.text(i, "use"), i);
        f.primary = f.use == FingeringUse::primary;
        f.register_number = int(table.number(i, "register"));
        if (instrument.mechanism.half_hole && f.register_number >= 3)
            f.keys = half_holed(f.keys);
        instrument.work_out_holes(f, instrument.mechanism);
        result.push_back(std::move(f));
    }
    add_low_notes(result, instrument);
    std::stable_sort(result.begin(), result.end(), [](const Fingering& a, const Fingering& b) {
        return a.written != b.written ? a.written < b.written : a.use < b.use;
    });
    return result;
}

const Fingering* Instrument::primary(WrittenPitch written) const
{
    const auto at = std::find_if(fingerings.begin(), fingerings.end(),
                                 [&](const Fingering& f) { return f.written == written && f.primary; });
    return at == fingerings.end() ? nullptr : &*at;
}

double start_breath(const Blowing& blowing, double since_s)
{
    const double sink_s = std::max(0.020, 0.5 * blowing.start_hold_s);
    const double x = std::clamp((since_s - blowing.start_hold_s) / sink_s, 0.0, 1.0);
    return 1.0 - x * x * (3.0 - 2.0 * x);
}

Blowing Instrument::blowing_at(std::size_t fingering, double level) const
{
    const auto& table = blowing.at(fingering);
    const double at = std::clamp(level, 0.0, 7.0);
    const auto low = std::min<std::size_t>(6, std::size_t(at));
    const double t = at - double(low);
    const Blowing &a = table[low], &b = table[low + 1];
    const auto mix = [t](double from, double to) { return from + t * (to - from); };
    return {mix(a.gamma, b.gamma),
            mix(a.zeta, b.zeta),
            mix(a.closing_pa, b.closing_pa),
            mix(a.cents, b.cents),
            mix(a.level_db, b.level_db),
            mix(a.start_gamma, b.start_gamma),
            mix(a.start_hold_s, b.start_hold_s),
            a.tract_ratio,
            a.tract_zc};
}

namespace
{

/// Puts the blowing of each fingering beside it; a fingering nobody could blow on this instrument goes.
void read_blowing(Instrument& instrument, std::string_view csv)
{
    instrument.blowing.assign(instrument.fingerings.size(), {});
    std::vector<int> found(instrument.fingerings.size(), 0);
    const CsvTable blowing(csv, "blowing.csv");
    for (std::size_t i = 0; i < blowing.rows(); ++i) {
        const auto number = pitch_number(blowing.text(i, "written"));
        for (std::size_t f = 0; f < instrument.fingerings.size(); ++f)
            if (instrument.fingerings[f].written.number == number &&
                instrument.fingerings[f].keys == blowing.text(i, "keys")) {
                instrument.blowing[f].at(std::size_t(blowing.number(i, "level"))) = {
                    blowing.number(i, "gamma"),        blowing.number(i, "zeta"),
                    blowing.number(i, "closing_pa"),   blowing.number(i, "cents"),
                    blowing.number(i, "level_db"),     blowing.number(i, "start_gamma"),
                    blowing.number(i, "start_hold_s"), blowing.number(i, "tract_ratio"),
                    blowing.number(i, "tract_zc")};
                ++found[f];
            }
        instrument.gain = blowing.number(i, "gain");
    }
    for (std::size_t f = instrument.fingerings.size(); f-- > 0;)
        if (found[f] < 8) {
            instrument.fingerings.erase(instrument.fingerings.begin() + std::ptrdiff_t(f));
            instrument.blowing.erase(instrument.blowing.begin() + std::ptrdiff_t(f));
        }
    // Where the usual fingering does not speak (the throat B♭ through the register key on low clarinets), the
    // first that does is the usual one.
    for (Fingering& f : instrument.fingerings)
        if (instrument.primary(f.written) == nullptr && f.use != FingeringUse::trill) {
            f.primary = true;
            f.use = FingeringUse::primary;
        }
}

} // namespace

Instrument instrument_from(const InstrumentFacts& facts, std::string_view bore_csv,
                           std::string_view holes_csv, std::string_view fingerings_csv)
{
    Instrument i;
    i.name = facts.name;
    i.title = facts.title;
    i.transposition = facts.transposition;
    i.lowest = facts.lowest;
    i.top_section = facts.top_section;
    i.top_professional = facts.top_professional;
    i.top_extreme = facts.top_extreme;
    i.breath_factor = facts.breath_factor;
    i.tongue_factor = facts.tongue_factor;
    i.mode_count = facts.mode_count;
    i.reed_hz = facts.reed_hz;
    i.reed_window = facts.reed_window;
    i.geometry = read_geometry(bore_csv, holes_csv, "x_mm");
    i.mechanism.half_hole = facts.half_hole;
    i.mechanism.holes = hole_rules(i.geometry);
    i.vents = i.mechanism.vents();
    i.vent_index = i.vents.front();
    i.vent_radius_m = i.geometry.holes[i.vent_index].radius_m;
    i.vent_chimney_m = i.geometry.holes[i.vent_index].chimney_m;
    i.fingerings = read_fingerings(fingerings_csv, i);
    i.blowing.assign(i.fingerings.size(), {});
    return i;
}

std::vector<InstrumentFacts> instrument_facts()
{
    std::vector<InstrumentFacts> result;
    const CsvTable table(embedded::models, "models.csv");
    for (std::size_t i = 0; i < table.rows(); ++i) {
        const FamilyMember* member = member_named(table.text(i, "name"));
        if (member == nullptr)
            throw InputError("models.csv: found '" + table.text(i, "name") +
                             "', wanted a member of family.csv");
        InstrumentFacts f;
        f.name = member->name;
        f.title = member->title;
        f.folder = table.text(i, "folder");
        f.transposition = member->transposition;
        f.lowest = member->lowest;
        f.top_section = member->top_section;
        f.top_professional = member->top_professional;
        f.top_extreme = member->top_extreme;
        f.breath_factor = member->breath_factor;
        f.tongue_factor = member->tongue_factor;
        f.mode_count = std::size_t(table.number(i, "modes"));
        f.half_hole = member->half_hole_altissimo;
        f.reed_hz = table.number(i, "reed_hz");
        f.reed_window = table.number(i, "reed_window");
        result.push_back(f);
    }
    return result;
}

const Instrument& instrument_named(const std::string& name)
{
    struct Kept {
        std::mutex guard;
        std::map<std::string, std::unique_ptr<const Instrument>> made;
    };
    static Kept kept; // made when first asked for: a dozen charts would cost every start a tenth of a second
    const std::lock_guard lock(kept.guard);
    if (const auto at = kept.made.find(name); at != kept.made.end())
        return *at->second;
    std::string known;
    for (const InstrumentFacts& facts : instrument_facts())
        for (const embedded::Tables& tables : embedded::instruments) {
            if (tables.folder != facts.folder || tables.blowing.empty())
                continue;
            if (facts.name == name) {
                auto made = std::make_unique<Instrument>(
                    instrument_from(facts, tables.bore, tables.holes, embedded::fingerings));
                read_blowing(*made, tables.blowing);
                return *(kept.made[name] = std::move(made));
            }
            known += (known.empty() ? "" : ", ") + facts.name;
        }
    throw InputError("found instrument '" + name + "', wanted " + known, Fault::usage);
}

const Instrument& b_flat_soprano()
{
    return instrument_named("B-flat");
}

} // namespace canebrake
