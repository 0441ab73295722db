// SPDX-License-Identifier: MIT
// The input impedance of a clarinet with the keys of a written note down, over the bore's characteristic
// impedance: frequency in hertz, magnitude in dB, one a line; then its peaks.
//   impedance E3
#include "models/air/air.h"
#include "models/bore/resonator.h"
#include "models/instruments/instrument.h"
#include "models/units/pitch.h"

#include <cmath>
#include <cstdio>
#include <vector>

int main(int count, char** words)
{
    using namespace canebrake;
    const Instrument& clarinet = b_flat_soprano();
    const auto number = pitch_number(count > 1 ? words[1] : "E3");
    const Fingering* fingering = number ? clarinet.primary(WrittenPitch{*number}) : nullptr;
    if (fingering == nullptr) {
        std::fprintf(stderr, "impedance: wanted a written note of the clarinet, such as E3\n");
        return 2;
    }
    const Resonator bore(clarinet.geometry, breath_air({25.0}), clarinet.vent_index);
    std::vector<double> level;
    for (int hz = 50; hz <= 3000; ++hz) {
        level.push_back(20.0 * std::log10(std::abs(bore.impedance(hz, fingering->holes))));
        std::printf("%d %.2f\n", hz, level.back());
    }
    for (std::size_t i = 1; i + 1 < level.size(); ++i)
        if (level[i] > level[i - 1] && level[i] >= level[i + 1] && level[i] > 0.0)
            std::printf("peak %d Hz %.1f dB\n", int(i) + 50, level[i]);
    return 0;
}
