// SPDX-License-Identifier: MIT
// canebrake_golden [INSTRUMENT…]
// Plays the ten phrases and writes the figures anew to tests/golden/INSTRUMENT.csv; all four without a name.
//
//   cmake --build BUILD --target canebrake_golden && BUILD/tests/golden/canebrake_golden
//
// The difference that git then shows is what is to be looked at: the commit says what changed in the sound
// and why it is right.
#include "models/units/input_error.h"
#include "tests/golden/golden.h"

#include <cstdio>
#include <exception>
#include <fstream>

using namespace canebrake;

int main(int count, char** words)
{
    std::vector<std::string> names(words + 1, words + count);
    if (names.empty())
        names.assign(golden::instruments.begin(), golden::instruments.end());
    try {
        for (const std::string& name : names) {
            const auto rows = golden::measure_all(instrument_named(name));
            std::ofstream file(golden::kept_file(name));
            golden::write(file, rows);
            if (!file.flush())
                throw std::runtime_error("cannot write " + golden::kept_file(name));
            std::printf("%s: %zu notes\n", golden::kept_file(name).c_str(), rows.size());
        }
    } catch (const std::exception& error) {
        std::fprintf(stderr, "%s\n", error.what());
        return 1;
    }
    return 0;
}
