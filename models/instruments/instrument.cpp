// SPDX-License-Identifier: MIT
#include "models/instruments/instrument.h"

#include "models/instruments/embedded.h"
#include "models/instruments/mechanism.h"
#include "models/instruments/tables.h"
#include "models/units/input_error.h"

#include <algorithm>

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

} // namespace

std::vector<Fingering> read_fingerings(std::string_view csv)
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
        f.holes = boehm_holes(f.keys);
        f.vent = (f.holes.open >> boehm_vent) & 1u ? 1.0 : 0.0;
        f.holes.open &= ~(1u << boehm_vent);
        result.push_back(std::move(f));
    }
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

Instrument make_b_flat()
{
    Instrument b;
    b.name = "B-flat";
    b.title = "clarinet in B♭";
    b.geometry = read_geometry(embedded::b_flat_bore, embedded::b_flat_holes, "x_mm");
    b.vent_index = boehm_vent;
    b.vent_radius_m = b.geometry.holes[boehm_vent].radius_m;
    b.vent_chimney_m = b.geometry.holes[boehm_vent].chimney_m;
    b.fingerings = read_fingerings(embedded::b_flat_fingerings);
    b.blowing.resize(b.fingerings.size());
    const CsvTable blowing(embedded::b_flat_blowing, "blowing.csv");
    for (std::size_t i = 0; i < blowing.rows(); ++i) {
        const auto number = pitch_number(blowing.text(i, "written"));
        for (std::size_t f = 0; f < b.fingerings.size(); ++f)
            if (b.fingerings[f].written.number == number && b.fingerings[f].keys == blowing.text(i, "keys"))
                b.blowing[f].at(std::size_t(blowing.number(i, "level"))) = {
                    blowing.number(i, "gamma"),        blowing.number(i, "zeta"),
                    blowing.number(i, "closing_pa"),   blowing.number(i, "cents"),
                    blowing.number(i, "level_db"),     blowing.number(i, "start_gamma"),
                    blowing.number(i, "start_hold_s"), blowing.number(i, "tract_ratio"),
                    blowing.number(i, "tract_zc")};
        b.gain = blowing.number(i, "gain");
    }
    return b;
}

} // namespace

const Instrument& b_flat_soprano()
{
    static const Instrument instrument = make_b_flat();
    return instrument;
}

const Instrument& instrument_named(const std::string& name)
{
    if (name == b_flat_soprano().name)
        return b_flat_soprano();
    throw InputError("found instrument '" + name + "', wanted B-flat (the only one built so far)",
                     Fault::usage);
}

} // namespace canebrake
