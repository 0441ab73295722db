// SPDX-License-Identifier: MIT
#include "cli/commands/compare/options.h"

#include "cli/options/option_values.h"
#include "engine/files/phrase/read_phrase.h"
#include "engine/telling/names.h"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <array>
#include <cctype>
#include <set>

namespace canebrake
{
namespace
{

constexpr int highest_level = 7; // fff
constexpr int lowest_note = 12, highest_note = 127;

bool sounds_like_a_recording(const std::string& file)
{
    std::string ending = std::filesystem::path(file).extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(),
                   [](unsigned char c) { return char(std::tolower(c)); });
    static constexpr std::array<std::string_view, 8> endings{".wav", ".flac", ".ogg",  ".opus",
                                                             ".mp3", ".aif",  ".aiff", ".w64"};
    return std::find(endings.begin(), endings.end(), ending) != endings.end();
}

std::vector<std::string> words_in(std::string_view option, const std::string& text)
{
    std::vector<std::string> words = CLI::detail::split(text, ',');
    for (std::string& word : words) {
        CLI::detail::trim(word);
        if (word.empty())
            refuse(option, text, "words with commas between them");
    }
    return words;
}

/// "E3-C6", "E3,A4,B4", or both mixed.
std::vector<int> notes_in(const std::string& text)
{
    const auto note = [&](const std::string& name) {
        const auto number = pitch_number(name);
        if (!number || *number < lowest_note || *number > highest_note)
            refuse("--notes", text, "notes and stretches of notes, such as E3-C6 or A4,Bb4,B4");
        return *number;
    };
    std::set<int> all;
    for (const std::string& word : words_in("--notes", text)) {
        const std::size_t dash = word.find('-');
        const int first = note(word.substr(0, dash));
        const int last = dash == std::string::npos ? first : note(word.substr(dash + 1));
        if (last < first)
            refuse("--notes", text, "the lower note of a stretch first, such as E3-C6");
        for (int number = first; number <= last; ++number)
            all.insert(number);
    }
    return {all.begin(), all.end()};
}

std::vector<double> levels_in(const std::string& text)
{
    std::set<double> all;
    for (const std::string& word : words_in("--dynamics", text)) {
        int level = 0;
        while (level <= highest_level && dynamic_name(level) != word)
            ++level;
        if (level > highest_level)
            refuse("--dynamics", text, "some of ppp, pp, p, mp, mf, f, ff, fff, such as pp,mf,ff");
        all.insert(level);
    }
    return {all.begin(), all.end()};
}

} // namespace

CompareOptions::CompareOptions(CLI::App& command) : line_(command, LineUse::compares)
{
    const auto option = [&](const char* names, std::string& target, const char* type, const char* group,
                            const char* text) {
        command.add_option(names, target, text)->type_name(type)->group(group);
    };
    const char* const tones = "Tones, where no line and no recording is given";
    option("--notes", notes_, "E3-C6", tones,
           "Which notes: a stretch, or A4,Bb4,B4, or both;\n"
           "written, unless --pitch sounding (all of them)");
    option("--dynamics", dynamics_, "pp,mf,ff", tones, "At which dynamics (pp,mf,ff)");
    const char* const told = "What is told";
    command
        .add_option("-o", destinations_,
                    "A page to open in a browser, with the sound (.html),\n"
                    "a table (.csv), or all figures (.json, README)")
        ->type_name("OUT")
        ->group(told)
        ->expected(1)
        ->take_all();
    command.add_flag("--json", json_, "As JSON on standard output (README)")->group(told);
    command.get_formatter()->column_width(28);
    command.footer("Three things can be compared:\n"
                   "  compare --notes E3-C6 --instrument B-flat,A   held notes, one by one, at each\n"
                   "                                                dynamic, on each clarinet\n"
                   "  compare LINE --instrument B-flat,A,C          the same sounding line on each;\n"
                   "                                                without, ideal and studio player\n"
                   "  compare A.wav B.wav                           recordings of one line by one\n"
                   "                                                wind instrument, note by note\n\n" +
                   phrase_grammar());
}

CompareRequest CompareOptions::request() const
{
    using Kind = CompareRequest::Kind;
    const auto& files = line_.files();
    const bool several = files.size() > 1, nothing = files.empty() && !line_.phrase_given();
    if (files.size() == 1 && sounds_like_a_recording(files[0]))
        throw InputError(files[0] + ": found one recording, wanted two or more of the same line",
                         Fault::usage);
    CompareRequest request;
    static_cast<LineRequest&>(request) =
        nothing || several ? line_.request_without_line() : line_.request("compare");
    request.kind = several ? Kind::recordings : nothing ? Kind::tones : Kind::line;
    if (several) {
        if (line_.phrase_given())
            throw InputError(fmt::format("found both '{}' and --phrase, wanted one of them", files[0]),
                             Fault::usage);
        request.recordings.assign(files.begin(), files.end());
    }
    if (request.kind != Kind::tones && !(notes_.empty() && dynamics_.empty()))
        throw InputError(
            "found a line and --notes or --dynamics, wanted one or the other: a line says its own",
            Fault::usage);
    if (!notes_.empty())
        request.notes = notes_in(notes_);
    if (!dynamics_.empty())
        request.levels = levels_in(dynamics_);
    request.instruments = line_.instruments();
    request.players = line_.players();
    fill_defaults(request);
    for (const std::string& text : destinations_)
        request.destinations.push_back(line_.destination("-o", text, {".html", ".csv", ".json"}));
    request.json = json_;
    return request;
}

} // namespace canebrake
