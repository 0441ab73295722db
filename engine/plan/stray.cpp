// SPDX-License-Identifier: MIT
#include "engine/plan/stray.h"

#include "models/modes/mode_table.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

namespace
{

/// Written pitch of the mode that carries a register, as a number with its fraction; the reed's share is
/// taken from a note that is known.
class Heard
{
public:
    Heard(const Resonator& bore, const Instrument& instrument) : bore_(bore), instrument_(instrument) {}

    double written(const Fingering& f, const Fingering& known) const
    {
        const int mode = f.register_number;
        const double reed = number(known, mode) - double(known.written.number);
        return number(f, mode) - (known.register_number == mode ? reed : 0.0);
    }

private:
    double number(const Fingering& f, int mode) const
    {
        const ModeTable table = find_modes(bore_, f.holes, {.count = instrument_.mode_count});
        const auto n = std::min(std::size_t(mode - 1), table.count - 1);
        return 69.0 + 12.0 * std::log2(table.mode_frequency(n) / 440.0) - instrument_.transposition;
    }
    const Resonator& bore_;
    const Instrument& instrument_;
};

} // namespace

std::vector<Stray> strays(TrillBook& book, const Candidate& from, const Candidate& to)
{
    const Transition change(from.hands, to.hands);
    std::vector<Stray> result;
    if (change.moves().size() < 2)
        return result;
    const Instrument& instrument = book.chart().instrument();
    const Heard heard(book.bore(), instrument);
    const double low = std::min(from.fingering.written, to.fingering.written).number - 0.5,
                 high = std::max(from.fingering.written, to.fingering.written).number + 0.5;
    for (const FingerMove& move : change.moves())
        for (const bool early : {true, false}) {
            Hands hands = early ? from.hands : to.hands;
            hands[move.finger] = early ? move.to : move.from;
            Fingering between = from.fingering;
            between.keys = hands.keys();
            instrument.work_out_holes(between, book.chart().mechanism());
            // The register follows the vent; the altissimo's follows the note that is nearer in time.
            const Fingering& near = early ? from.fingering : to.fingering;
            between.register_number = between.vent == near.vent ? near.register_number
                                      : early                   ? to.fingering.register_number
                                                                : from.fingering.register_number;
            const bool as_one_of_them =
                (between.holes == from.fingering.holes && between.vent == from.fingering.vent) ||
                (between.holes == to.fingering.holes && between.vent == to.fingering.vent);
            if (as_one_of_them)
                continue;
            const double written = heard.written(between, near);
            const double off = std::max({0.0, low - written, written - high});
            if (off <= 0.0)
                continue;
            const int nearest = int(std::lround(written));
            result.push_back({move.finger, early, between.keys, nearest, 100.0 * (written - nearest), off});
        }
    std::stable_sort(result.begin(), result.end(),
                     [](const Stray& a, const Stray& b) { return a.off_semitones > b.off_semitones; });
    return result;
}

} // namespace canebrake
