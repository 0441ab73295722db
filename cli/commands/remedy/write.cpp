// SPDX-License-Identifier: MIT
#include "cli/commands/remedy/remedy.h"

#include "cli/audio/wav_file.h"
#include "cli/options/opened.h"
#include "cli/options/option_values.h"
#include "cli/terminal/progress.h"
#include "engine/spelling/key.h"
#include "engine/storage/whole_file.h"

#include <array>
#include <ostream>

namespace canebrake
{
namespace
{

void write_sound(Sounding sound, const RemedyRequest& request, const Console& console)
{
    WavWriter writer(*request.destination, request.settings.rate, SampleFormat::pcm24);
    Progress progress(console.err, console.columns);
    std::array<float, 4096> block{};
    while (const std::size_t got = sound.process(block)) {
        if (console.stop != nullptr && *console.stop)
            throw BrokenOff{};
        writer.write(std::span<const float>(block).first(got));
        progress.show(double(sound.position()) / sound.rate(), sound.duration_s());
    }
    writer.finish();
}

/// The second player's page beside the first's.
std::filesystem::path second_of(std::filesystem::path path)
{
    return path.replace_filename(path.stem().string() + "-second" + path.extension().string());
}

std::string counted(const GradeCounts& counts)
{
    return fmt::format("{} awkward, {} risky, {} unplayable", counts[0], counts[1], counts[2]);
}

std::string numbers(const std::vector<RemedyNumber>& taken)
{
    std::string text;
    for (const RemedyNumber& number : taken)
        text += fmt::format("{}{}.{}", text.empty() ? "" : ", ", number.spot, number.remedy);
    return text;
}

} // namespace

void write_remedies(const TakenRemedies& taken, const Bench& bench, const RemedyRequest& request,
                    const Console& console)
{
    std::string written = request.destination->string();
    if (ending_of(*request.destination) == ".wav") {
        write_sound(taken.sound(), request, console);
    } else {
        std::vector<std::string> remarks;
        const std::vector<std::string> pages = taken.pages(bench, remarks);
        write_whole(*request.destination, pages.at(0));
        if (pages.size() > 1) {
            write_whole(second_of(*request.destination), pages[1]);
            written += " and " + second_of(*request.destination).string();
        }
        say_remarks(console, remarks);
    }
    std::string what;
    for (const std::string& one : taken.what())
        what += (what.empty() ? "" : "; ") + one;
    console.out << fmt::format("{}: with remed{} {}: {}\nbefore: {}\nafter:  {}\n", written,
                               request.take.size() > 1 ? "ies" : "y", numbers(request.take), what,
                               counted(taken.before()), counted(taken.after()))
                << std::flush;
}

void write_for_instrument(const RemedyRequest& request, const Console& console)
{
    const FamilyMember& member = *member_named(request.for_instrument);
    const PartForInstrument part = part_for_instrument(opened(request), request, member);
    write_whole(*request.destination, part.musicxml);
    for (const std::string& warning : part.warnings)
        console.err << "canebrake: warning: " << warning << '\n';
    say_remarks(console, part.remarks);
    console.out << fmt::format("{}: {} notes for the {}, {}\n", request.destination->string(), part.notes,
                               member.title, signature_words(part.fifths))
                << std::flush;
}

} // namespace canebrake
