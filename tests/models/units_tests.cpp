// SPDX-License-Identifier: MIT
#include "models/instruments/instrument.h"
#include "models/instruments/tables.h"
#include "models/units/input_error.h"
#include "models/units/pitch.h"

#include <catch2/catch.hpp>

using namespace canebrake;
using Catch::Matchers::Contains;

namespace
{

std::string complaint(const auto& act)
{
    try {
        act();
    } catch (const InputError& e) {
        return e.what();
    }
    return "nothing was thrown";
}

} // namespace

TEST_CASE("A4 is 440 Hz and the MIDI notes lie where the table has them", "[units][outside]")
{
    // ISO 16:1975, A4 = 440 Hz; equal temperament by MIDI number as printed in handbooks (from memory).
    CHECK(frequency({69.0}, {440.0}).value == 440.0);
    CHECK(frequency({60.0}, {440.0}).value == Approx(261.626).margin(5e-4));
    CHECK(frequency({50.0}, {440.0}).value == Approx(146.832).margin(5e-4));
    CHECK(frequency({21.0}, {440.0}).value == Approx(27.5).margin(1e-9));
    CHECK(frequency({108.0}, {440.0}).value == Approx(4186.009).margin(5e-4));
    CHECK(frequency({69.0}, {442.0}).value == 442.0);
    CHECK(cents_between(frequency({60.5}, {440.0}), frequency({60.0}, {440.0})).value == Approx(50.0));
}

TEST_CASE("units turn into each other and back", "[units][law]")
{
    for (const double x : {-37.5, 0.0, 0.01, 12.0}) {
        CHECK(20.0 * std::log10(amplitude({x})) == Approx(x).margin(1e-12));
        CHECK(cents_between({440.0 * ratio({x})}, {440.0}).value == Approx(x).margin(1e-9));
    }
    CHECK(amplitude({20.0}) == Approx(10.0));
}

TEST_CASE("every pitch name reads back as its number, in sharps and in flats", "[units][law]")
{
    for (int number = 0; number < 128; ++number)
        for (const bool flats : {false, true})
            CHECK(pitch_number(pitch_name(number, flats)) == number);
    CHECK(pitch_name(60) == "C4");
    CHECK(pitch_name(70) == "A#4");
    CHECK(pitch_name(70, true) == "Bb4");
    CHECK(pitch_name(0) == "C-1");
}

TEST_CASE("enharmonic spellings are the same key and change octave at C", "[units]")
{
    CHECK(pitch_number("Cb4") == 59);
    CHECK(pitch_number("B#3") == 60);
    CHECK(pitch_number("Ebb4") == pitch_number("D4"));
    CHECK(pitch_number("F##3") == pitch_number("G3"));
    CHECK(pitch_number("bb5") == pitch_number("A#5"));
}

TEST_CASE("what is no pitch name is refused", "[units]")
{
    for (const char* name : {"", "H4", "C", "C#", "4", "C44", "C#b4", "C###4", "C4 ", " C4", "C-2", "do",
                             "Cx4", "C4.5", "C--1", "C-"}) {
        CAPTURE(name);
        CHECK_FALSE(pitch_number(name).has_value());
    }
}

TEST_CASE("a wrong cell of a table is named by table, row, column, what was found and what was wanted",
          "[units]")
{
    const CsvTable table("# note\nx_mm,name\n1.5,a\n4;1,b\n,c\n", "holes.csv");
    REQUIRE(table.rows() == 3);
    CHECK(table.number(0, "x_mm") == 1.5);
    CHECK(table.text(1, "name") == "b");
    const auto text = complaint([&] { (void)table.number(1, "x_mm"); });
    for (const char* part : {"holes.csv", "row 2", "x_mm", "'4;1'", "wanted a number"})
        CHECK_THAT(text, Contains(part));
    CHECK_THAT(complaint([&] { (void)table.number(2, "x_mm"); }), Contains("found ''"));
    CHECK_THAT(complaint([&] { (void)table.number(0, "radius_mm"); }), Contains("radius_mm"));
}

TEST_CASE("a decimal comma is not read as two cells", "[units]")
{
    const auto split = complaint([] { CsvTable("x_mm,name\n1.5,a\n4,1,b\n", "holes.csv"); });
    for (const char* part : {"holes.csv", "row 2", "found 3 cells", "wanted 2"})
        CHECK_THAT(split, Contains(part));
    CHECK_THAT(complaint([] { CsvTable("x_mm,name\n1.5\n", "holes.csv"); }), Contains("found 1 cells"));
}

TEST_CASE("a wrong table of the instrument is refused with its place", "[units]")
{
    const auto bad_pitch = complaint([] {
        read_fingerings("written,keys,use,name,register\nE3,T,primary,plain,1\nQ3,T,primary,plain,1\n");
    });
    for (const char* part : {"fingerings.csv", "row 2", "'Q3'", "wanted a pitch"})
        CHECK_THAT(bad_pitch, Contains(part));
    const auto bad_hole = complaint([] {
        read_geometry("x_mm,radius_mm\n0,7\n600,wide\n", "name,x_mm,radius_mm,chimney_mm,cover,lift_mm\n",
                      "x_mm");
    });
    for (const char* part : {"bore.csv", "row 2", "radius_mm", "'wide'"})
        CHECK_THAT(bad_hole, Contains(part));
    const auto unknown = complaint([] { instrument_named("ocarina"); });
    CHECK_THAT(unknown, Contains("'ocarina'"));
    CHECK_THAT(unknown, Contains("B-flat"));
}
