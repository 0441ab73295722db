// SPDX-License-Identifier: MIT
#include "page_fixture.h"

#include <catch2/catch.hpp>

#include <regex>
#include <set>

using namespace canebrake;
using namespace canebrake::test;

namespace
{
using Json = nlohmann::ordered_json;

std::size_t count(const std::string& text, const std::string& part)
{
    std::size_t found = 0;
    for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + part.size()))
        ++found;
    return found;
}

/// What stands between the element with this id's opening tag and the next "</script".
std::string block(const std::string& page, const std::string& id)
{
    const auto tag = page.find("id=\"" + id + "\"");
    REQUIRE(tag != std::string::npos);
    const auto from = page.find('>', tag) + 1;
    return page.substr(from, page.find("</script", from) - from);
}

Json small()
{
    Json all = tones_fixture({"B♭ studio", "A studio"}, false).comparison;
    for (Json& side : all["sides"])
        side["notes"].erase(side["notes"].begin() + 2, side["notes"].end());
    return all;
}

/// RFC 4648, section 10, has the same letters; written apart from the page's.
std::string decoded(const std::string& text)
{
    static const std::string digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string bytes;
    unsigned bits = 0;
    int held = 0;
    for (const char c : text) {
        if (c == '=')
            break;
        bits = bits << 6 | unsigned(digits.find(c));
        held += 6;
        if (held >= 8) {
            held -= 8;
            bytes += char(bits >> held & 0xFF);
        }
    }
    return bytes;
}
} // namespace

TEST_CASE("the page carries the comparison and the sound of each side", "[page]")
{
    const Json comparison = small();
    const std::vector<PageSound> sounds{{"audio/mpeg", "first"},
                                        {"audio/flac", std::string("\0\xFF\x80", 3)}};
    const std::string page = compare_page(comparison, sounds);
    const Json read = Json::parse(block(page, "comparison"));
    CHECK(read["sides"][0]["name"] == "B♭ studio");
    CHECK(read["sides"][1]["notes"].size() == comparison["sides"][1]["notes"].size());
    const double level = comparison["sides"][0]["notes"][0]["tones"][0]["measured"]["level_db"];
    CHECK(read["sides"][0]["notes"][0]["tones"][0]["measured"]["level_db"].get<double>() ==
          Approx(level).margin(0.6e-4));
    CHECK(decoded(block(page, "sound-0")) == sounds[0].bytes);
    CHECK(decoded(block(page, "sound-1")) == sounds[1].bytes);
    CHECK(page.find("id=\"sound-2\"") == std::string::npos);
    CHECK(page.find("data-media-type=\"audio/flac\"") != std::string::npos);
    CHECK(page.find("{{") == std::string::npos);
    CHECK(page.find("<title>Comparison: B♭ studio, A studio</title>") != std::string::npos);
    CHECK(page.find("<html lang=\"en\">") != std::string::npos);
}

TEST_CASE("base64 in the page is that of RFC 4648", "[page]")
{
    // Section 10 of RFC 4648: the test vectors.
    const std::vector<std::pair<std::string, std::string>> vectors{
        {"f", "Zg=="}, {"fo", "Zm8="}, {"foo", "Zm9v"}, {"foob", "Zm9vYg=="}, {"foobar", "Zm9vYmFy"}};
    for (const auto& [plain, text] : vectors)
        CHECK(block(compare_page(small(), std::vector<PageSound>{{"audio/mpeg", plain}}), "sound-0") == text);
}

TEST_CASE("names out of files cannot break out of the page", "[page]")
{
    Json comparison = small();
    const std::string plain_page = compare_page(comparison, {});
    const std::vector<std::string> names{"</script><script>alert(1)</script>",
                                         "<!--<script>",
                                         "</title><h1>",
                                         "\" onload=\"x",
                                         "a\nb\x01\x1f\x7f",
                                         "{{script}}{{sounds}}"};
    for (const std::string& name : names) {
        INFO(name);
        comparison["sides"][0]["name"] = name;
        comparison["sides"][0]["notes"][0]["fingering"] = name;
        const std::string page = compare_page(comparison, {});
        CHECK(count(page, "<script") == count(plain_page, "<script"));
        CHECK(count(page, "</script") == count(plain_page, "</script"));
        CHECK(count(page, "<!--") == count(plain_page, "<!--"));
        CHECK(count(page, "<h1") == count(plain_page, "<h1"));
        const Json read = Json::parse(block(page, "comparison"));
        CHECK(read["sides"][0]["name"] == name);
        CHECK(read["sides"][0]["notes"][0]["fingering"] == name);
        const auto from = page.find("<title>") + 7;
        const std::string title = page.substr(from, page.find("</title>", from) - from);
        CHECK(title.find_first_of("<>\"\n\x01\x1f\x7f") == std::string::npos);
        CHECK(title.size() > std::string("Comparison: , A studio").size());
    }
    comparison["sides"][0]["name"] = "caf\xE9"; // Latin 1, not UTF-8
    const std::string page = compare_page(comparison, {});
    CHECK(Json::parse(block(page, "comparison"))["sides"][0]["name"] == "caf\xEF\xBF\xBD");
    CHECK(page.find("<title>Comparison: caf\xEF\xBF\xBD, A studio</title>") != std::string::npos);
}

TEST_CASE("the page's policy lets nothing be fetched and no foreign script run", "[page]")
{
    const std::string page = compare_page(small(), std::vector<PageSound>{{"audio/mpeg", "x"}});
    std::smatch policy;
    REQUIRE(std::regex_search(page, policy, std::regex("Content-Security-Policy\" content=\"([^\"]*)\"")));
    const std::string rules = policy[1];
    const std::string hash = "'sha256-[A-Za-z0-9+/]{43}='";
    CHECK(
        std::regex_match(rules, std::regex("default-src 'none'; script-src " + hash + " " + hash +
                                           "; style-src " + hash + "; base-uri 'none'; form-action 'none'")));
    CHECK(page.find("Content-Security-Policy") < page.find("<style"));
}

TEST_CASE("the page names no place on the net but the home of uPlot", "[page]")
{
    for (const Json& comparison : {small(), lines_fixture(6, false).comparison}) {
        const std::string page = compare_page(comparison, {});
        const std::regex address("https?://[^ )\"'<]*");
        std::set<std::string> found;
        for (auto at = std::sregex_iterator(page.begin(), page.end(), address); at != std::sregex_iterator();
             ++at)
            found.insert(at->str());
        CHECK(found == std::set<std::string>{"https://github.com/leeoniya/uPlot"});
        CHECK(page.find("Copyright (c) 2022 Leon Sorokin") != std::string::npos);
        CHECK(page.find("THE SOFTWARE IS PROVIDED \"AS IS\"") != std::string::npos);
        CHECK(page.find(" src=") == std::string::npos);
        CHECK(page.find(" href=") == std::string::npos);
        CHECK(page.find("url(") == std::string::npos);
    }
}

TEST_CASE("a page of one clarinet, forty notes at three dynamics, stays under three megabytes", "[page]")
{
    const Compared compared = tones_fixture({"B♭ studio"});
    const auto sounds = compared.packed();
    REQUIRE(compared.sounds[0].size() == std::size_t(120 * clip_s * fixture_rate));
    CHECK(compare_page(compared.comparison, sounds).size() < 3'000'000);
    CHECK(sounds[0].media_type == "audio/mpeg");
}

TEST_CASE("the same comparison gives the same page", "[page]")
{
    const Compared compared = lines_fixture(6, true);
    CHECK(compare_page(compared.comparison, compared.packed()) ==
          compare_page(compared.comparison, compared.packed()));
}
