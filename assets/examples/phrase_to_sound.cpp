// SPDX-License-Identifier: MIT
// A typed phrase as sound: 32-bit floats, mono, 48 kHz, without a header, on standard output.
//   phrase_to_sound "tempo 60 A4_B4_C5 B4" > sound.f32
#include "engine/workbench/bench.h"
#include "engine/workbench/sounding.h"
#include "models/units/input_error.h"

#include <array>
#include <cstdio>

int main(int count, char** words)
{
    using namespace canebrake;
    try {
        const Bench bench = Bench::of_phrase(count > 1 ? words[1] : "C5");
        LineRequest request;
        request.pitch = PitchBasis::written;
        Sounding sound(bench, request);
        std::array<float, 4096> block{};
        while (const std::size_t got = sound.process(block))
            std::fwrite(block.data(), sizeof(float), got, stdout);
        for (const std::string& remark : sound.remarks())
            std::fprintf(stderr, "%s\n", remark.c_str());
        return std::fflush(stdout) == 0 ? 0 : 6;
    } catch (const InputError& error) {
        std::fprintf(stderr, "phrase_to_sound: %s\n", error.what());
        return 3;
    }
}
