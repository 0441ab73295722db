// SPDX-License-Identifier: MIT
#include "cli/commands/remedy/remedy.h"

#include "cli/audio/wav_file.h"
#include "cli/options/read_line.h"
#include "cli/terminal/progress.h"
#include "engine/files/writing/part_page.h"
#include "engine/part/choose_part.h"
#include "engine/part/printed_part.h"
#include "engine/rendering/sequence.h"
#include "engine/spelling/basis.h"
#include "engine/spelling/key.h"
#include "engine/storage/whole_file.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <ostream>

namespace canebrake
{
namespace
{

constexpr float of_two_players = 0.7f; // they add

std::string ending_of(const std::filesystem::path& path)
{
    std::string ending = path.extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(),
                   [](unsigned char c) { return char(std::tolower(c)); });
    return ending;
}

std::string title_of(const RemedyRequest& request)
{
    return request.phrase ? "Phrase" : request.line.stem().string();
}

/// A version of the part, ready to play as its own `instruments` have it, or as the request says.
PartToPlay played(const TrialRoom& room, const Line& version, bool as_it_says)
{
    LineRequest request = room.request();
    if (as_it_says) {
        request.instrument.clear();
        request.on.clear();
    }
    return part_to_play(version, request, room.books());
}

void write_sound(std::vector<PartToPlay> parts, const RemedyRequest& request, const Console& console)
{
    struct Timed {
        PartToPlay::Stretch* stretch;
    };
    std::vector<Timed> all;
    for (PartToPlay& part : parts)
        for (PartToPlay::Stretch& stretch : part.stretches)
            all.push_back({&stretch});
    std::stable_sort(all.begin(), all.end(), [](const Timed& a, const Timed& b) {
        return a.stretch->offset_s < b.stretch->offset_s;
    });
    Sequence sequence(request.settings);
    for (const Timed& timed : all)
        sequence.add(*timed.stretch->book, std::move(timed.stretch->line), timed.stretch->offset_s);
    WavWriter writer(*request.destination, request.settings.rate, SampleFormat::pcm24);
    Progress progress(console.err, console.columns);
    std::array<float, 4096> block{};
    const double rate = request.settings.rate.value;
    std::uint64_t done = 0;
    while (const std::size_t got = sequence.process(block)) {
        if (console.stop != nullptr && *console.stop)
            throw BrokenOff{};
        if (parts.size() > 1)
            for (float& sample : block)
                sample *= of_two_players;
        writer.write(std::span<const float>(block).first(got));
        done += got;
        progress.show(double(done) / rate, sequence.duration_s());
    }
    writer.finish();
}

std::size_t places_of(const Verdicts& verdicts, Grade grade)
{
    return std::size_t(std::count_if(verdicts.begin(), verdicts.end(),
                                     [&](const PlacedSpot& v) { return v.spot.grade == grade; }));
}

std::string counted(const Verdicts& verdicts)
{
    return fmt::format("{} awkward, {} risky, {} unplayable", places_of(verdicts, Grade::awkward),
                       places_of(verdicts, Grade::risky), places_of(verdicts, Grade::unplayable));
}

void say(const std::vector<std::string>& remarks, const Console& console)
{
    for (const std::string& remark : remarks)
        console.err << "canebrake: remark: " << remark << '\n';
    console.err << std::flush;
}

void write_whole(const std::filesystem::path& path, const std::string& text)
{
    WholeFile file(path);
    file.write(text);
    file.finish();
}

} // namespace

void write_remedy(const Remedies& bench, const ToldRemedies& one, const RemedyRequest& request,
                  const Console& console)
{
    const TrialRoom& room = bench.room();
    const JudgedPart& judged = bench.judged();
    const auto& remedies = one.found.remedies;
    if (std::size_t(request.take.second) > remedies.size())
        throw InputError(fmt::format("--take: found {}.{}, but spot {} has {} remed{}", request.take.first,
                                     request.take.second, request.take.first,
                                     remedies.empty() ? "no" : std::to_string(remedies.size()),
                                     remedies.size() == 1 ? "y" : "ies"),
                         Fault::usage);
    const Remedy& remedy = remedies[std::size_t(request.take.second) - 1];
    const Casting& now = judged.played().casting;
    std::vector<Line> versions = with_remedy(room, one.found, remedy);
    const bool other_instrument = !remedy.idea.on.empty();
    if (other_instrument)
        versions.front() =
            on_instrument(versions.front(), now, remedy.passage->from, remedy.passage->to, remedy.idea.on);

    // Judged again as a whole: what was tried in its surroundings now stands in the part.
    Verdicts after;
    std::vector<std::string> remarks;
    std::vector<PartToPlay> parts;
    std::vector<std::pair<std::filesystem::path, std::string>> pages;
    for (std::size_t i = 0; i < versions.size(); ++i) {
        const Line& version = versions[i];
        if (version.notes.empty())
            continue;
        JudgeOptions options;
        options.ideal = false;
        const JudgedPart again(played(room, version, other_instrument), request.settings, options);
        const Verdicts found = verdicts_of(again);
        after.insert(after.end(), found.begin(), found.end());
        if (ending_of(*request.destination) == ".wav") {
            parts.push_back(played(room, version, other_instrument));
            continue;
        }
        std::filesystem::path path = *request.destination;
        if (i > 0)
            path.replace_filename(path.stem().string() + "-second" + path.extension().string());
        const Casting& casting = again.played().casting;
        pages.emplace_back(
            path, page_of(room.restored(written_for(version, casting)), casting, title_of(request), remarks));
    }
    std::string written = request.destination->string();
    if (pages.empty())
        write_sound(std::move(parts), request, console);
    for (std::size_t i = 0; i < pages.size(); ++i) {
        write_whole(pages[i].first, pages[i].second);
        if (i > 0)
            written += " and " + pages[i].first.string();
    }
    say(remarks, console);
    console.out << fmt::format("{}: with remedy {}.{}: {}\nbefore: {}\nafter:  {}\n", written,
                               request.take.first, request.take.second, remedy.idea.what,
                               counted(verdicts_of(judged)), counted(after))
                << std::flush;
}

void write_for_instrument(const RemedyRequest& request, const Console& console)
{
    TrillBooks books(request.settings.kit);
    const Score score = read_line(request);
    const Line chosen = choose_part(score, request.part);
    const TrialRoom room(chosen, request, books);
    const FamilyMember& member = *member_named(request.for_instrument);
    const Casting now = room.played(room.line()).casting;

    std::vector<std::string> remarks;
    if (const FamilyMember* printed = now.stretches.front().printed; printed != nullptr && !request.bars) {
        std::vector<const Line*> others;
        for (const Line& part : score.parts)
            if (part.part_id != chosen.part_id && !part.notes.empty())
                others.push_back(&part);
        if (const auto wrong = pitch_basis_looks_wrong(room.line(), others, printed->transposition, printed))
            console.err << "canebrake: warning: " << wrong->detail << '\n';
    }
    // The page is for this one, whether or not we can play it.
    Casting casting;
    casting.stretches = {{0.0, &member, "", member.name, ""}};
    const Line page = written_for(with_key(room.restored(room.line())), casting);
    std::size_t off = 0;
    for (const Note& note : page.notes)
        off += note.printed < member.lowest.number || note.printed > member.top_extreme.number;
    write_whole(*request.destination, page_of(page, casting, title_of(request), remarks));
    if (off > 0)
        console.err << fmt::format("canebrake: warning: {} note{} off the {}\n", off, off == 1 ? "" : "s",
                                   member.title);
    say(remarks, console);
    console.out << fmt::format("{}: {} notes for the {}, {}\n", request.destination->string(),
                               page.notes.size(), member.title, signature_words(key_at(page.keys, 0.0)))
                << std::flush;
}

} // namespace canebrake
