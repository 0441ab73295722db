// SPDX-License-Identifier: MIT
#include "engine/report/clarinets_json.h"

#include "models/units/pitch.h"

#include <nlohmann/json.hpp>

#include <array>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr std::array<const char*, 4> register_names{"chalumeau", "throat", "clarion", "altissimo"};

} // namespace

std::string clarinets_json(const std::vector<Candidature>& all)
{
    using Json = nlohmann::ordered_json;
    Json clarinets = Json::array();
    for (const Candidature& c : all) {
        Json registers;
        for (std::size_t i = 0; i < register_names.size(); ++i)
            registers[register_names[i]] = std::round(1000.0 * c.registers[i]) / 1000.0;
        clarinets.push_back({{"name", c.member->name},
                             {"title", c.member->title},
                             {"owned", c.owned},
                             {"played_on_now", c.now},
                             {"key_fifths", c.fifths},
                             {"accidentals", c.accidentals},
                             {"written_low", pitch_name(c.low, c.fifths < 0)},
                             {"written_high", pitch_name(c.high, c.fifths < 0)},
                             {"registers", registers},
                             {"awkward", c.awkward},
                             {"risky", c.risky},
                             {"unplayable", c.unplayable},
                             {"notes_off", c.off},
                             {"score", std::round(100.0 * c.score) / 100.0},
                             {"words", c.words}});
    }
    const Json json{{"schema", "canebrake-clarinets"}, {"version", 1}, {"clarinets", clarinets}};
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + '\n';
}

} // namespace canebrake
