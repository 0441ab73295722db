// SPDX-License-Identifier: MIT
#include "cli/options/line_options.h"

#include "cli/options/option_values.h"
#include "engine/files/kit_file.h"
#include "engine/synthesis/table_cache.h"
#include "models/instruments/family.h"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <cctype>

namespace canebrake
{
namespace
{

/// "12-20" or "12"; a pick-up bar prints 0.
std::pair<int, int> bars_in(const std::string& text)
{
    const std::size_t dash = text.find('-');
    const auto first = number_in<int>(std::string_view(text).substr(0, dash));
    const auto last =
        dash == std::string::npos ? first : number_in<int>(std::string_view(text).substr(dash + 1));
    if (!first || !last || *first < 0 || *last < *first)
        refuse("--bars", text, "first and last bar, the lower number first, such as 12-20, or one bar");
    return {*first, *last};
}

Player player_in(const std::string& text)
{
    return one_of<Player>(
        "--player", text,
        {{"ideal", Player::ideal}, {"studio", Player::studio}, {"learner", Player::learner}});
}

/// "B-flat,A": its words, each read by `read`; none may come twice.
template <class Read> auto listed(std::string_view option, const std::string& text, Read read)
{
    std::vector<decltype(read(text))> all;
    for (std::string word : CLI::detail::split(text, ',')) {
        CLI::detail::trim(word);
        if (word.empty())
            refuse(option, text, "words with commas between them");
        const auto value = read(word);
        if (std::find(all.begin(), all.end(), value) != all.end())
            refuse(option, text, "each of them once");
        all.push_back(value);
    }
    return all;
}

/// The family's own name for what was asked for; empty stays empty.
std::string known(std::string_view option, const std::string& name)
{
    if (name.empty())
        return "";
    const FamilyMember* member = member_named(name);
    if (member == nullptr)
        refuse(option, name, family_names());
    return member->name;
}

} // namespace

LineOptions::LineOptions(CLI::App& command, LineUse use) : use_(use)
{
    const bool compares = use == LineUse::compares;
    command
        .add_option(compares ? "FILES" : "LINE", files_,
                    compares ? "One line, MusicXML or MIDI; or two recordings or\nmore of the same line"
                             : "MusicXML, plain or compressed, or a MIDI file")
        ->type_name("")
        ->expected(compares ? -1 : 1);
    const auto option = [&](const char* names, std::string& target, const char* type, const char* group,
                            const char* text) {
        return command.add_option(names, target, text)->type_name(type)->group(group);
    };
    phrase_given_ =
        option("--phrase", phrase_, "WORDS", what, "A typed phrase instead of LINE (grammar below)");
    part_given_ =
        option("--part", part_, "PART", what, "Number, id or name of a part, 'track 2', 'channel 3'");
    option("--bars", bars_, "12-20", what, "Only these bars, by printed number");
    option("--pitch", pitch_, "BASIS", what,
           "written or sounding: how printed notes are meant\n"
           "(MusicXML says itself; MIDI is sounding,\n"
           "a phrase written)");
    option("--tempo", tempo_, "10-400", what, "Quarter notes a minute at the start;\nlater tempi follow");

    option("--instrument", instrument_, compares ? "NAMES" : "NAME", who,
           compares ? "The clarinets, such as B-flat,A,C"
                    : "What the part is printed for, such as A or bass\n"
                      "(as the file says; else B-flat)");
    if (!compares)
        option("--on", on_, "NAME", who,
               "What the player brings instead: the same sounding\n"
               "notes, on another clarinet");
    player_given_ = option("--player", player_, compares ? "PLAYERS" : "WHO", who,
                           compares ? "One or more of ideal, studio (default), learner"
                                    : "ideal: even and seamless, what a keyboard promises\n"
                                      "studio: a professional at ease (default)\n"
                                      "learner: every crossing can be heard");
    kit_given_ = option("--kit", kit_, "KIT.toml", who,
                        "The player's kit: level, keys, breath, tongue;\n"
                        "--player wins over its level (assets/kits has one)");
    if (use == LineUse::judges)
        option("--reading", reading_, "HOW", who,
               "sight (default), rehearsed, prepared: practice makes\n"
               "fingers easier, never breath, tongue or compass");
    option("--a4", a4_, "HERTZ", who, "Pitch of A4, 380 to 500 (440)");
    option("--temperature", temperature_, "CELSIUS", who, "Air in the instrument, 0 to 40 (25)");
    option("--barrel", barrel_, "MILLIMETRES", who, "Barrel pulled out, 0 to 5 (0)");
    option("--seed", seed_, "NUMBER", who, "Another number, another take; the same,\nthe same file (1)");
}

bool LineOptions::phrase_given() const
{
    return phrase_given_->count() > 0;
}

std::vector<std::string> LineOptions::instruments() const
{
    if (instrument_.empty())
        return {};
    return listed("--instrument", instrument_,
                  [](const std::string& name) { return known("--instrument", name); });
}

std::vector<Player> LineOptions::players() const
{
    return player_given_->count() > 0 ? listed("--player", player_, player_in) : std::vector<Player>{};
}

std::filesystem::path LineOptions::destination(std::string_view option, const std::string& text,
                                               std::initializer_list<std::string_view> endings) const
{
    std::filesystem::path path(text);
    std::string found = path.extension().string();
    std::transform(found.begin(), found.end(), found.begin(),
                   [](unsigned char c) { return char(std::tolower(c)); });
    if (std::find(endings.begin(), endings.end(), found) == endings.end()) {
        std::string wanted;
        for (const std::string_view ending : endings)
            wanted += (wanted.empty() ? "" : " or ") + std::string(ending);
        refuse(option, text, "a file name that ends in " + wanted);
    }
    std::error_code error;
    for (const std::string& file : files_)
        if (std::filesystem::equivalent(file, path, error))
            refuse(option, text, "another file than the line itself");
    if (kit_given_->count() > 0 && std::filesystem::equivalent(kit_, path, error))
        refuse(option, text, "another file than the kit");
    return path;
}

LineRequest LineOptions::request(std::string_view command) const
{
    LineRequest request;
    const bool typed = phrase_given();
    if (typed && !files_.empty())
        throw InputError(fmt::format("found both '{}' and --phrase, wanted one of them", files_[0]),
                         Fault::usage);
    if (!typed && files_.empty())
        throw InputError(
            fmt::format("found nothing to {0}, wanted a file or --phrase; see canebrake {1} --help",
                        command == "render" ? "play" : "read", command),
            Fault::usage);
    if (!files_.empty())
        request.line = files_[0];
    if (typed)
        request.phrase = phrase_;
    request.pitch = typed ? PitchBasis::written : PitchBasis::as_file;
    return request_with(std::move(request));
}

LineRequest LineOptions::request_without_line() const
{
    return request_with({});
}

LineRequest LineOptions::request_with(LineRequest request) const
{
    if (part_given_->count() > 0 && part_.empty())
        refuse("--part", part_, "a number, an id or a name");
    request.part = part_;
    if (!bars_.empty())
        request.bars = bars_in(bars_);
    if (!pitch_.empty())
        request.pitch = one_of<PitchBasis>(
            "--pitch", pitch_, {{"written", PitchBasis::written}, {"sounding", PitchBasis::sounding}});
    if (!tempo_.empty())
        request.tempo = number_within("--tempo", tempo_, 10, 400, "quarter notes a minute");
    if (use_ != LineUse::compares)
        request.instrument = known("--instrument", instrument_);
    request.on = known("--on", on_);

    RenderSettings& settings = request.settings;
    settings.tables_folder = table_cache_folder();
    if (kit_given_->count() > 0) {
        settings.kit = read_kit(std::filesystem::path(kit_));
    }
    if (player_given_->count() > 0 && use_ != LineUse::compares)
        settings.kit.level = player_in(player_);
    settings.player = settings.kit.level;
    if (!reading_.empty())
        settings.kit.reading = one_of<Reading>(
            "--reading", reading_,
            {{"sight", Reading::sight}, {"rehearsed", Reading::rehearsed}, {"prepared", Reading::prepared}});
    if (!a4_.empty())
        settings.a4.value = number_within("--a4", a4_, 380, 500, "hertz");
    if (!temperature_.empty())
        settings.temperature.value = number_within("--temperature", temperature_, 0, 40, "degrees Celsius");
    if (!barrel_.empty())
        settings.barrel_m = 1e-3 * number_within("--barrel", barrel_, 0, 5, "millimetres");
    if (!seed_.empty()) {
        const auto seed = number_in<std::uint64_t>(seed_);
        if (!seed)
            refuse("--seed", seed_, "a whole number from 0 to 18446744073709551615");
        settings.seed = *seed;
    }
    return request;
}

} // namespace canebrake
