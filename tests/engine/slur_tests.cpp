// SPDX-License-Identifier: MIT
// Joined notes: over the break and one finger at a time.
#include "tests/engine/known.h"
#include "tests/engine/rendered.h"

#include <catch2/catch.hpp>

#include <cmath>

using namespace canebrake;

namespace
{

constexpr int seeds = 9;
const std::vector<std::string> breaks{"A4_B4", "A#4_C5", "G4_C5"};
const std::vector<std::string> one_finger{"C4_D4", "E4_F4", "D5_E5"};

Rendered slur(const std::string& pair, Player player, std::uint64_t seed)
{
    return rendered("tempo 60 mf 1/4 " + pair, settings_of(player, seed));
}

SlurMeasure measured(const Rendered& s)
{
    return measure_slur(s.between(s.notes[0].start_s, s.notes[1].end_s), {output_rate},
                        s.notes[1].start_s - s.notes[0].start_s, s.notes[0].target_hz, s.notes[1].target_hz);
}

/// The second difference of a stretch, where a step or a kink shows: its largest value, and how far that
/// stands out of its own mean square.
struct Kink {
    double most = 0.0, crest = 0.0;
};
Kink kink(std::span<const float> x)
{
    Kink result;
    double power = 0.0;
    for (std::size_t n = 1; n + 1 < x.size(); ++n) {
        const double d = double(x[n + 1]) - 2.0 * double(x[n]) + double(x[n - 1]);
        result.most = std::max(result.most, std::abs(d));
        power += d * d;
    }
    result.crest = result.most / std::sqrt(power / double(x.size()));
    return result;
}

struct Medians {
    double dip_db, settle_s;
    int arrived;
};
Medians medians(const std::string& pair, Player player)
{
    std::vector<double> dips, settles;
    int arrived = 0;
    for (int seed = 1; seed <= seeds; ++seed) {
        const auto m = measured(slur(pair, player, std::uint64_t(seed)));
        dips.push_back(m.dip_db);
        settles.push_back(m.settle_s);
        arrived += m.arrived;
    }
    return {median(dips), median(settles), arrived};
}

} // namespace

TEST_CASE("a studio player's slur over the break does not click", "[slurs]")
{
    for (const auto& pair : breaks) {
        double most = 0.0, most_crest = 0.0;
        for (int seed = 1; seed <= seeds; ++seed) {
            const auto s = slur(pair, Player::studio, std::uint64_t(seed));
            const double change = s.notes[1].start_s;
            const auto before = kink(s.between(0.5, 0.9)),
                       after = kink(s.between(change + 0.5, change + 0.8));
            const double steady = std::max(before.most, after.most);
            const double steady_crest = std::max(before.crest, after.crest);
            REQUIRE(steady > 0.0);
            for (double t = change - 0.06; t < change + 0.2; t += 0.01) {
                const auto now = kink(s.between(t, t + 0.01));
                most = std::max(most, now.most / steady);
                most_crest = std::max(most_crest, now.crest / steady_crest);
            }
        }
        hold(pair, most, most - 3.0);
        CAPTURE(pair);
        CHECK(most_crest <= 2.5); // one bent sample in 10 ms: 18, over a settled 3
        WARN("measured, " << pair << ": second difference at most " << most
                          << " times the settled notes', its crest " << most_crest << " times");
    }
}

TEST_CASE(
    "a slur over the break arrives, dips little in a studio, nowhere in a mock-up, and a learner's dips "
    "more",
    "[slurs]")
{
    for (const auto& pair : breaks) {
        const auto studio = medians(pair, Player::studio), learner = medians(pair, Player::learner),
                   ideal = medians(pair, Player::ideal);
        WARN("measured, " << pair << ": median dip ideal " << ideal.dip_db << " dB, studio " << studio.dip_db
                          << " dB (settles in " << studio.settle_s * 1e3 << " ms, " << studio.arrived
                          << " of " << seeds << " arrive), learner " << learner.dip_db << " dB ("
                          << learner.arrived << " arrive)");
        CAPTURE(pair);
        CHECK(studio.arrived == seeds);
        CHECK(studio.dip_db <= 6.0);
        CHECK(learner.dip_db > studio.dip_db);
        CHECK(ideal.arrived == seeds);
        CHECK(ideal.dip_db <= 3.5);
    }
}

TEST_CASE("a slur that one finger makes hardly dips and settles in 50 ms", "[slurs]")
{
    for (const auto& pair : one_finger)
        for (const Player player : {Player::studio, Player::ideal}) {
            const auto m = medians(pair, player);
            WARN("measured, " << pair << (player == Player::ideal ? " ideal" : " studio") << ": median dip "
                              << m.dip_db << " dB, settles in " << m.settle_s * 1e3 << " ms");
            CAPTURE(pair, int(player));
            CHECK(m.arrived == seeds);
            hold(pair + (player == Player::ideal ? " ideal" : " studio"), m.dip_db, m.dip_db - 3.5);
            CHECK(m.settle_s <= 0.05);
        }
}
