// SPDX-License-Identifier: MIT
#include "engine/workbench/c_face.h"

#include "engine/comparison/tones.h"
#include "engine/files/musicxml/container.h"
#include "engine/files/writing/musicxml_pack.h"
#include "engine/report/clarinets_json.h"
#include "engine/report/compare_json.h"
#include "engine/report/fingering_json.h"
#include "engine/report/instruments_json.h"
#include "engine/report/remedy_json.h"
#include "engine/report/spots_json.h"
#include "engine/workbench/answers.h"
#include "engine/workbench/bench.h"
#include "engine/workbench/marked_copy.h"
#include "engine/workbench/question.h"
#include "engine/workbench/sounding.h"
#include "engine/workbench/taking.h"
#include "models/units/input_error.h"

#include <nlohmann/json.hpp>

#include <cstdlib>
#include <cstring>
#include <memory>
#include <new>
#include <span>
#include <string>
#include <string_view>

using namespace canebrake;

struct canebrake_line {
    Bench bench;
};

struct canebrake_sound {
    Sounding sound;
};

namespace
{

canebrake_answer answer(int fault, std::string_view text) noexcept
{
    canebrake_answer result{fault, static_cast<char*>(std::malloc(text.size() + 1)), text.size()};
    if (result.text == nullptr)
        return {CANEBRAKE_INTERNAL, nullptr, 0};
    std::memcpy(result.text, text.data(), text.size());
    result.text[text.size()] = '\0';
    return result;
}

int fault_of(Fault fault)
{
    switch (fault) {
    case Fault::usage:
        return CANEBRAKE_USAGE;
    case Fault::unreadable:
        return CANEBRAKE_UNREADABLE;
    case Fault::needs_choice:
        return CANEBRAKE_NEEDS_CHOICE;
    case Fault::off_range:
        return CANEBRAKE_OFF_RANGE;
    case Fault::unwritable:
        break; // nothing is written here
    }
    return CANEBRAKE_INTERNAL;
}

/// What went wrong, with a mark for every byte that is no UTF-8: a message may quote what came in.
canebrake_answer refusal(int fault, std::string_view text) noexcept
{
    try {
        const nlohmann::json quoted = text;
        return answer(fault, nlohmann::json::parse(
                                 quoted.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace))
                                 .get<std::string>());
    } catch (...) {
        return {CANEBRAKE_INTERNAL, nullptr, 0};
    }
}

/// What `work` gives, or what stopped it, as one answer.
template <class Work> canebrake_answer answered(Work work) noexcept
{
    try {
        return answer(CANEBRAKE_DONE, work());
    } catch (const InputError& error) {
        return refusal(fault_of(error.fault()), error.what());
    } catch (const BrokenOff&) {
        return answer(CANEBRAKE_BROKEN_OFF, "broken off");
    } catch (const std::bad_alloc&) {
        return answer(CANEBRAKE_INTERNAL, "the memory does not suffice");
    } catch (const std::exception& error) {
        return refusal(CANEBRAKE_INTERNAL, error.what());
    } catch (...) {
        return answer(CANEBRAKE_INTERNAL, "a fault of unknown kind");
    }
}

std::string_view text_of(const char* text)
{
    return text != nullptr ? std::string_view(text) : std::string_view();
}

Watch watch_of(const canebrake_watch* watch)
{
    Watch all;
    if (watch == nullptr)
        return all;
    if (watch->progress != nullptr)
        all.progress = [w = *watch](double done, double whole) { w.progress(w.context, done, whole); };
    if (watch->stop != nullptr)
        all.stop = [w = *watch] { return w.stop(w.context) != 0; };
    return all;
}

const Bench& bench_of(const canebrake_line* line)
{
    if (line == nullptr)
        throw InputError("found no line, wanted an open one", Fault::usage);
    return line->bench;
}

/// A question about a line, with what the line is. A typed phrase is as its player reads it, unless it is
/// said otherwise.
template <class Asked> Asked of(const Bench& bench, Asked asked)
{
    if (!bench.typed()) {
        asked.line = bench.name();
        return asked;
    }
    asked.phrase = bench.bytes();
    if (asked.pitch == PitchBasis::as_file)
        asked.pitch = PitchBasis::written;
    return asked;
}

std::string dumped(const nlohmann::ordered_json& json)
{
    return json.dump(1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + '\n';
}

/// Opens a line into *line, which must be there.
template <class Open> canebrake_answer opened_into(canebrake_line** line, Open open) noexcept
{
    if (line != nullptr)
        *line = nullptr;
    return answered([&] {
        if (line == nullptr)
            throw InputError("found no place for the line, wanted a pointer", Fault::usage);
        auto made = std::make_unique<canebrake_line>(canebrake_line{open()});
        std::string parts = parts_json(made->bench);
        *line = made.release();
        return parts;
    });
}

/// A part that was asked for as it stands in what came in.
bool nothing_to_change(const Question& q)
{
    return q.part.empty() && !q.bars && !q.tempo && q.instrument.empty() && q.on.empty() &&
           q.pitch == PitchBasis::as_file;
}

std::string packed_as(const Bench& bench, const Question& question, std::string bytes)
{
    const bool is_packed = bytes.starts_with("PK");
    if (question.packed && !is_packed)
        return musicxml::pack(bytes);
    if (!question.packed && is_packed)
        return musicxml::unpack(bytes, bench.name());
    return bytes;
}

std::string saved(const Bench& bench, const Question& question, const Watch& watch)
{
    std::vector<std::string> remarks;
    switch (question.format) {
    case Question::Format::midi:
        return bench.part_as_midi(question);
    case Question::Format::marked: {
        SpotsReport report = bench.spots(question, watch);
        if (question.waived)
            for (PartReport& part : report.parts)
                question.waived->apply(part);
        return marked_copy(bench, report, question, {question.least, question.for_player, question.packed},
                           remarks);
    }
    case Question::Format::musicxml:
        break;
    }
    return packed_as(bench, question,
                     bench.is_musicxml() && nothing_to_change(question)
                         ? bench.bytes()
                         : bench.part_as_musicxml(question, remarks));
}

} // namespace

int canebrake_face(void)
{
    return CANEBRAKE_FACE;
}

const char* canebrake_version(void)
{
    return CANEBRAKE_VERSION;
}

void canebrake_free(canebrake_answer* given)
{
    if (given == nullptr)
        return;
    std::free(given->text);
    *given = {CANEBRAKE_DONE, nullptr, 0};
}

canebrake_answer canebrake_open(const void* bytes, size_t size, const char* name, canebrake_line** line)
{
    return opened_into(line, [&] {
        const char* const first = static_cast<const char*>(bytes);
        return Bench::of_file(first != nullptr ? std::string(first, size) : std::string(),
                              name != nullptr && *name != '\0' ? name : "line");
    });
}

canebrake_answer canebrake_open_phrase(const char* phrase, canebrake_line** line)
{
    return opened_into(line, [&] { return Bench::of_phrase(std::string(text_of(phrase))); });
}

void canebrake_close(canebrake_line* line)
{
    delete line;
}

canebrake_answer canebrake_parts(const canebrake_line* line)
{
    return answered([&] { return parts_json(bench_of(line)); });
}

canebrake_answer canebrake_spots(const canebrake_line* line, const char* question,
                                 const canebrake_watch* watch)
{
    return answered([&] {
        const Question asked = of(bench_of(line), question_of(text_of(question)));
        SpotsReport report = bench_of(line).spots(asked, watch_of(watch));
        if (asked.waived)
            for (PartReport& part : report.parts)
                asked.waived->apply(part);
        return spots_json(report, asked, asked.least);
    });
}

canebrake_answer canebrake_remedies(const canebrake_line* line, const char* question,
                                    const canebrake_watch* watch)
{
    return answered([&] {
        const Question asked = of(bench_of(line), question_of(text_of(question)));
        const Remedies remedies(bench_of(line).score(), asked);
        return remedy_json(remedies.find(asked.spot, asked.most, watch_of(watch)), asked);
    });
}

canebrake_answer canebrake_clarinets(const canebrake_line* line, const char* question,
                                     const canebrake_watch* watch)
{
    return answered([&] {
        const Question asked = of(bench_of(line), question_of(text_of(question)));
        watch_of(watch).check();
        return clarinets_json(clarinets_for(Remedies(bench_of(line).score(), asked).room()));
    });
}

canebrake_answer canebrake_take(const canebrake_line* line, const char* question,
                                const canebrake_watch* watch, canebrake_line** changed,
                                canebrake_line** second)
{
    for (canebrake_line** place : {changed, second})
        if (place != nullptr)
            *place = nullptr;
    return answered([&] {
        const Bench& bench = bench_of(line);
        const Question asked = of(bench, question_of(text_of(question)));
        if (changed == nullptr)
            throw InputError("found no place for the changed line, wanted a pointer", Fault::usage);
        const Remedies remedies(bench.score(), asked);
        const TakenRemedies taken(remedies, asked.take, asked, watch_of(watch));
        std::vector<std::string> remarks;
        const std::vector<std::string> pages = taken.pages(bench, remarks);
        const std::string name = bench.is_musicxml() ? bench.name() : bench.title() + ".musicxml";
        auto first = std::make_unique<canebrake_line>(canebrake_line{Bench::of_file(pages.at(0), name)});
        std::unique_ptr<canebrake_line> other;
        if (pages.size() > 1 && second != nullptr)
            other = std::make_unique<canebrake_line>(canebrake_line{Bench::of_file(pages[1], name)});
        std::string text = taken_json(taken, asked.take, remarks);
        *changed = first.release();
        if (second != nullptr)
            *second = other.release();
        return text;
    });
}

canebrake_answer canebrake_compare(const canebrake_line* line, const char* question,
                                   const canebrake_watch* watch)
{
    return answered([&] {
        ComparisonRequest asked = comparison_question_of(text_of(question), line != nullptr);
        if (line == nullptr)
            return dumped(compare_json(compare_tones(asked, false, watch_of(watch))));
        asked = of(line->bench, std::move(asked));
        return dumped(compare_json(line->bench.compare(asked, watch_of(watch))));
    });
}

canebrake_answer canebrake_fingering(const char* question)
{
    return answered([&] {
        const FingeringQuestion asked = fingering_question_of(text_of(question));
        const Instrument& instrument = instrument_of(asked);
        return fingering_json(answer_of(asked, instrument), instrument, asked);
    });
}

canebrake_answer canebrake_instruments(const char* question)
{
    return answered([&] { return family_json(instruments_question_of(text_of(question))); });
}

canebrake_answer canebrake_save(const canebrake_line* line, const char* question,
                                const canebrake_watch* watch)
{
    return answered([&] {
        const Bench& bench = bench_of(line);
        return saved(bench, of(bench, question_of(text_of(question))), watch_of(watch));
    });
}

canebrake_answer canebrake_sound_open(const canebrake_line* line, const char* question,
                                      canebrake_sound** sound)
{
    if (sound != nullptr)
        *sound = nullptr;
    return answered([&] {
        if (sound == nullptr)
            throw InputError("found no place for the sound, wanted a pointer", Fault::usage);
        const Question asked = of(bench_of(line), question_of(text_of(question)));
        std::unique_ptr<canebrake_sound> made(new canebrake_sound{Sounding(bench_of(line), asked)});
        if (asked.measure)
            made->sound.measure();
        std::string text = sound_json(made->sound);
        *sound = made.release();
        return text;
    });
}

int64_t canebrake_sound_read(canebrake_sound* sound, float* samples, size_t most)
{
    if (sound == nullptr || (samples == nullptr && most > 0))
        return -1;
    try {
        return std::int64_t(sound->sound.process(std::span(samples, most)));
    } catch (...) {
        return -1;
    }
}

canebrake_answer canebrake_sound_events(canebrake_sound* sound)
{
    return answered([&] {
        if (sound == nullptr)
            throw InputError("found no sound, wanted an open one", Fault::usage);
        std::string text;
        sound->sound.write_events("", "float", [&](std::string_view more) { text += more; });
        return text;
    });
}

void canebrake_sound_close(canebrake_sound* sound)
{
    delete sound;
}
