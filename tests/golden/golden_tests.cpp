// SPDX-License-Identifier: MIT
#include "tests/golden/golden.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

using namespace canebrake;
using namespace canebrake::golden;

namespace
{

std::string listed(const std::vector<std::string>& sentences)
{
    std::string text;
    for (const std::string& sentence : sentences)
        text += "\n  " + sentence;
    return text;
}

void check_as_kept(const std::string& instrument)
{
    const std::vector<std::string> found =
        differences(kept(instrument), measure_all(instrument_named(instrument)));
    INFO("If the sound was meant to change, write it anew: golden_main.cpp says how." << listed(found));
    CHECK(found.empty());
}

const Phrase& phrase_named(const std::string& name)
{
    static const std::vector<Phrase> all = phrases();
    const auto found =
        std::find_if(all.begin(), all.end(), [&](const Phrase& phrase) { return phrase.name == name; });
    REQUIRE(found != all.end());
    return *found;
}

Row one_row()
{
    return {"a-phrase", 1, "1", "A4", {1.0, -20.0, 1500.0, 40.0}};
}

/// What changes if the reed is so many times as stiff, and the player's mouth and lip do as before.
Instrument with_reed(Instrument instrument, double stiffness)
{
    instrument.reed_hz *= std::sqrt(stiffness);
    for (auto& levels : instrument.blowing)
        for (Blowing& blowing : levels) {
            blowing.closing_pa *= stiffness;
            blowing.gamma /= stiffness;
            blowing.start_gamma /= stiffness;
            blowing.zeta /= std::sqrt(stiffness);
        }
    return instrument;
}

} // namespace

TEST_CASE("the B-flat clarinet sounds as kept", "[golden]")
{
    check_as_kept("B-flat");
}

TEST_CASE("the A clarinet sounds as kept", "[golden]")
{
    check_as_kept("A");
}

TEST_CASE("the E-flat clarinet sounds as kept", "[golden]")
{
    check_as_kept("E-flat");
}

TEST_CASE("the bass clarinet sounds as kept", "[golden]")
{
    check_as_kept("bass");
}

TEST_CASE("a figure just inside its tolerance passes, just outside is named with old and new", "[golden]")
{
    for (std::size_t c = 0; c < column_count; ++c)
        for (const double way : {-1.0, 1.0}) {
            Row inside = one_row(), outside = one_row();
            const double tolerance = tolerances[c].of(*one_row().figures[c]);
            *inside.figures[c] += 0.99 * way * tolerance;
            *outside.figures[c] += 1.01 * way * tolerance;
            CAPTURE(tolerances[c].column);
            CHECK(differences({one_row()}, {inside}).empty());
            CHECK(differences({one_row()}, {outside}).size() == 1);
        }
    Row flat = one_row();
    flat.figures[cents] = -4.0;
    CHECK(differences({one_row()}, {flat}) ==
          std::vector<std::string>{"a-phrase, note 1 (bar 1, A4): cents was 1.00, is -4.00"});
}

TEST_CASE("a note that is lost, missing or another one fails", "[golden]")
{
    Row lost = one_row(), other = one_row();
    lost.figures = {std::nullopt, -20.0, std::nullopt, std::nullopt};
    other.written = "B4";
    CHECK(differences({one_row()}, {lost}).size() == 3);
    CHECK(differences({one_row()}, {other}).size() == 1);
    CHECK(differences({one_row()}, {}).size() == 1);
    CHECK(differences({one_row()}, {one_row(), one_row()}).size() == 1);
}

TEST_CASE("a reed 3 % stiffer does not pass for the same", "[golden]")
{
    const auto now = measure(with_reed(b_flat_soprano(), 1.03), phrase_named("over-the-break"));
    const auto found = differences(kept("B-flat", "over-the-break"), now);
    WARN("found " << found.size() << " differences in " << now.size() << " notes");
    CHECK(found.size() >= now.size() / 2);
}

TEST_CASE("one hole a millimetre lower does not pass for the same", "[golden]")
{
    Instrument moved = b_flat_soprano();
    for (ToneHole& hole : moved.geometry.holes)
        if (hole.name == "left2")
            hole.x_m += 1e-3;
    const auto now = measure(moved, phrase_named("wide-slurs"));
    const auto found = differences(kept("B-flat", "wide-slurs"), now);
    WARN("found:" << listed(found));
    // It is the first open hole of E4 and, a twelfth higher, of B5: both sink.
    CHECK(std::count_if(found.begin(), found.end(), [](const std::string& sentence) {
              return sentence.find(" cents was ") != std::string::npos;
          }) >= 2);
}
