// SPDX-License-Identifier: MIT
// Finds how each fingering is blown at each dynamic and writes an instrument's blowing.csv:
//   canebrake_calibrate models/instruments NAME [NOTE ...]
// With notes, only those are played, and the rest stays as it was compiled in. Each line is settled by
// playing (blown_note.h). The ladder asks for even steps of level down from ff; where the reed stops speaking
// first, the softest that holds is kept, so a soft altissimo is as soft as the note allows and no softer.
// Other instruments than the B-flat first try what the same fingering asks of that one, and search only where
// it does not speak; what they took over is then moved until the ladder is theirs too (ladder.h).
#include "engine/calibration/blown_note.h"
#include "engine/calibration/search.h"
#include "engine/calibration/settle.h"
#include "engine/threads/parallel_loop.h"
#include "models/air/air.h"
#include "models/instruments/embedded.h"
#include "models/units/input_error.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <set>
#include <string>
#include <vector>

using namespace canebrake;
using namespace canebrake::calibration;

namespace
{

Instrument unblown(const std::string& name)
{
    for (const InstrumentFacts& facts : instrument_facts())
        for (const embedded::Tables& tables : embedded::instruments)
            if (facts.name == name && facts.folder == tables.folder)
                return instrument_from(facts, tables.bore, tables.holes, embedded::fingerings);
    throw InputError("found '" + name + "', wanted an instrument of models.csv whose bore is made",
                     Fault::usage);
}

std::string folder_of(const std::string& name)
{
    for (const InstrumentFacts& facts : instrument_facts())
        if (facts.name == name)
            return facts.folder;
    return name;
}

/// What is asked of the program: an instrument, and which of its notes; none: all it is played on.
struct Job {
    Instrument instrument;
    std::set<int> only;

    bool wanted(const Fingering& f) const
    {
        const int top = instrument.top_extreme.number + (instrument.name == "B-flat" ? 1 : 0);
        return only.empty() ? f.written.number <= top : only.contains(f.written.number);
    }
};

/// One line a fingering; those not wanted stay empty.
std::vector<Line> settled(const Job& job)
{
    const auto& fingerings = job.instrument.fingerings;
    std::vector<Resonator> bores; // one a vent
    for (const std::size_t vent : job.instrument.vents)
        bores.emplace_back(job.instrument.geometry, breath_air({25.0}), vent);
    // Keys that leave the holes as they are (a little finger held for the trill to come) are played once.
    std::vector<std::size_t> same(fingerings.size());
    for (std::size_t i = 0; i < same.size(); ++i)
        same[i] = std::size_t(std::find_if(fingerings.begin(), fingerings.end(),
                                           [&](const Fingering& f) {
                                               return f.written == fingerings[i].written &&
                                                      f.holes == fingerings[i].holes &&
                                                      f.vent == fingerings[i].vent;
                                           }) -
                              fingerings.begin());
    std::vector<Line> lines(fingerings.size());
    parallel_loop(lines.size(), [&](std::size_t i) {
        if (same[i] == i && job.wanted(fingerings[i]))
            lines[i] = settle(BlownNote(job.instrument, bores[fingerings[i].vent_number], fingerings[i]));
    });
    for (std::size_t i = 0; i < lines.size(); ++i)
        lines[i] = lines[same[i]];
    return lines;
}

/// Puts the loudest attack of what a player holds at −5.4 dBFS: a throat note with fingers laid down is 2.3
/// dB louder, and accents want room. An alternate or a trill key must not turn the instrument down.
double gain_for(const Instrument& instrument, const std::vector<Line>& lines)
{
    double peak = 0.0;
    for (std::size_t i = 0; i < lines.size(); ++i)
        for (std::size_t d = 0; d <= 6; ++d)
            if (instrument.fingerings[i].primary &&
                instrument.fingerings[i].written.number <= instrument.top_professional.number)
                peak = std::max(peak, lines[i].trial[d].peak);
    return unit_gain * 0.54 / peak;
}

/// A primary is kept whatever it does, so that the note is there; others must earn their place.
bool kept(const Fingering& f, const Line& line)
{
    return good_levels(line) >= 6 || (f.primary && good_levels(line) > 0);
}

/// blowing.csv: a row a fingering and rung.
class Table
{
public:
    Table(const std::string& path, double gain) : out_(path), gain_(gain)
    {
        out_ << "# made by engine/calibration/calibrate.cpp from bore.csv, holes.csv and fingerings.csv\n"
             << "written,keys,level,gamma,zeta,closing_pa,cents,level_db,start_gamma,start_hold_s,"
                "tract_ratio,tract_zc,gain\n";
    }
    void write(const Fingering& f, std::size_t rung, const Blowing& b, double level_db)
    {
        char row[200];
        std::snprintf(row, sizeof row, "%s,%s,%zu,%.4f,%.4f,%.0f,%.2f,%.2f,%.4f,%.3f,%.3f,%.2f,%.5g\n",
                      pitch_name(f.written.number).c_str(), f.keys.c_str(), rung, b.gamma, b.zeta,
                      b.closing_pa, b.cents, level_db, b.start_gamma, b.start_hold_s, b.tract_ratio,
                      b.tract_zc, gain_);
        out_ << row;
    }
    /// As it was compiled in, if it was.
    void write_unchanged(const Fingering& f, const Instrument& compiled)
    {
        for (std::size_t k = 0; k < compiled.fingerings.size(); ++k)
            if (compiled.fingerings[k].written == f.written && compiled.fingerings[k].keys == f.keys)
                for (std::size_t d = 0; d < 8; ++d)
                    write(f, d, compiled.blowing[k][d], compiled.blowing[k][d].level_db);
    }

private:
    std::ofstream out_;
    double gain_;
};

void report(const Fingering& f, const Line& line, double gain_db)
{
    std::printf("%-4s %-32s", pitch_name(f.written.number).c_str(), f.keys.c_str());
    for (const std::size_t d : {std::size_t{1}, std::size_t{4}, std::size_t{6}}) {
        const Blowing& b = line.blowing[d];
        const Trial& t = line.trial[d];
        std::printf("| g%.3f s%.2f h%.3f %5.1fdB %+5.1fc %3.0fms +%.1f%s ", b.gamma, b.start_gamma,
                    b.start_hold_s, t.level_db + gain_db, b.cents, t.speaking_s * 1e3, t.overshoot_db,
                    t.good ? "" : " BAD");
    }
    std::printf("| %zu of 8 good%s\n", good_levels(line), kept(f, line) ? "" : ", left out");
}

} // namespace

int main(int argc, char** argv)
{
    if (argc < 3) {
        std::fprintf(stderr, "canebrake_calibrate models/instruments NAME [NOTE ...]\n");
        return 2;
    }
    const std::string name = argv[2];
    const std::string path = std::string(argv[1]) + "/" + folder_of(name) + "/blowing.csv";
    Job job{unblown(name), {}};
    for (int i = 3; i < argc; ++i)
        job.only.insert(pitch_number(argv[i]).value());
    const Instrument* compiled = job.only.empty() ? nullptr : &instrument_named(name);
    const std::vector<Line> lines = settled(job);
    const double gain = compiled == nullptr ? gain_for(job.instrument, lines) : compiled->gain;
    const double gain_db = 20.0 * std::log10(gain / unit_gain);
    Table table(path, gain);
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const Fingering& f = job.instrument.fingerings[i];
        if (job.wanted(f)) {
            report(f, lines[i], gain_db);
            for (std::size_t d = 0; kept(f, lines[i]) && d < 8; ++d)
                table.write(f, d, lines[i].blowing[d], lines[i].trial[d].level_db + gain_db);
        } else if (compiled != nullptr) {
            table.write_unchanged(f, *compiled);
        }
    }
    std::printf("gain %.4g\n", gain);
}
