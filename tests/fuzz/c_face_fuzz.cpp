// SPDX-License-Identifier: MIT
// Bytes that nobody meant, into the C face: by the first of them a file ('0'), a typed phrase ('1') or a
// question ('2', and the function by the next). It stops at a crash, a sanitizer's finding, a fault of ours
// (CANEBRAKE_INTERNAL), or an answer that is not what the header says.
//
//   cmake -S . -B fuzz -G Ninja -DCMAKE_CXX_COMPILER=clang++ -DCMAKE_DISABLE_PRECOMPILE_HEADERS=ON \
//         -DCANEBRAKE_SANITIZE=ON -DCMAKE_CXX_FLAGS=-fsanitize=fuzzer-no-link
//   cmake --build fuzz --target canebrake_c_face_fuzz
//   mkdir seeds; for f in assets/scores/*.m*; do (printf 0; cat $f) >seeds/$(basename $f); done
//   for f in assets/phrases/*.txt; do (printf 1; cat $f) >seeds/$(basename $f); done
//   printf '20{"part": "1", "tempo": 96.5, "take": ["1.1"], "from_bar": 1}' >seeds/question
//   fuzz/tests/fuzz/canebrake_c_face_fuzz -max_total_time=600 -timeout=60 -max_len=65536 seeds
#include "tests/workbench/face.h"

#include <array>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string_view>

using namespace canebrake::test;

namespace
{

[[noreturn]] void wrong(const char* what, const Said& said)
{
    std::fprintf(stderr, "%s: fault %d: %s\n", what, said.fault, said.text.c_str());
    std::abort();
}

bool is_utf8(const std::string& text)
{
    try {
        (void)nlohmann::json(text).dump();
        return true;
    } catch (const nlohmann::json::exception&) {
        return false;
    }
}

enum class Answer { json, file };

/// Holds an answer against the header.
int checked(canebrake_answer answer, Answer kind = Answer::json)
{
    const bool closed = answer.text != nullptr && answer.text[answer.size] == '\0';
    const Said all = said(answer);
    if (!closed)
        wrong("no text, or one without an end", all);
    if (all.fault < CANEBRAKE_BROKEN_OFF || all.fault > CANEBRAKE_OFF_RANGE ||
        all.fault == CANEBRAKE_INTERNAL)
        wrong("a fault of ours", all);
    if (all.fault == CANEBRAKE_DONE) {
        if (kind == Answer::json && !nlohmann::json::accept(all.text))
            wrong("no JSON", all);
    } else if (all.text.empty() || !is_utf8(all.text)) {
        wrong("a fault without words, or no UTF-8", all);
    } else if (all.fault != CANEBRAKE_NEEDS_CHOICE && all.text.find('\n') != std::string::npos) {
        wrong("a fault of several lines", all);
    }
    return all.fault;
}

/// Breaks off once the rules have been asked and the sound begins, which would take seconds.
struct Hurry {
    int left = 3;
    canebrake_watch watch{this, nullptr,
                          [](void* self) { return int(--static_cast<Hurry*>(self)->left <= 0); }};
};

void sound(const canebrake_line* line, const char* question)
{
    canebrake_sound* made = nullptr;
    const int fault = checked(canebrake_sound_open(line, question, &made));
    if ((made != nullptr) != (fault == CANEBRAKE_DONE))
        wrong("a sound and a fault, or neither", {});
    std::array<float, 64> samples{};
    if (made != nullptr && canebrake_sound_read(made, samples.data(), samples.size()) < 0)
        wrong("a sound that breaks", {});
    canebrake_sound_close(made);
}

void opened(const canebrake_answer& answer, canebrake_line* line)
{
    const OpenLine owned(line);
    if ((checked(answer) == CANEBRAKE_DONE) != (line != nullptr))
        wrong("a line and a fault, or neither", {});
    if (line == nullptr)
        return;
    checked(canebrake_parts(line));
    checked(canebrake_save(line, R"({"part": "1", "tempo": 90})", nullptr), Answer::file);
    checked(canebrake_save(line, R"({"part": "1", "format": "midi"})", nullptr), Answer::file);
    checked(canebrake_save(line, R"({"packed": true})", nullptr), Answer::file);
    Hurry spots, remedies;
    checked(canebrake_spots(line, nullptr, &spots.watch));
    checked(canebrake_remedies(line, R"({"part": "1", "on": "A"})", &remedies.watch));
}

const canebrake_line* small_line()
{
    static const OpenLine line = open_phrase("tempo 120 1/8 A4_B4_C5 rest C5 trill D5 grace E5 F5");
    return line.get();
}

void ask(char which, const char* question)
{
    const canebrake_line* const line = small_line();
    Hurry hurry;
    switch (which % 9) {
    case 0:
        checked(canebrake_spots(line, question, &hurry.watch));
        break;
    case 1:
        checked(canebrake_remedies(line, question, &hurry.watch));
        break;
    case 2:
        checked(canebrake_save(line, question, &hurry.watch), Answer::file);
        break;
    case 3: {
        canebrake_line *changed = nullptr, *second = nullptr;
        checked(canebrake_take(line, question, &hurry.watch, &changed, &second));
        canebrake_close(changed);
        canebrake_close(second);
        break;
    }
    case 4:
        checked(canebrake_compare(line, question, &hurry.watch));
        break;
    case 5:
        checked(canebrake_compare(nullptr, question, &hurry.watch));
        break;
    case 6:
        checked(canebrake_fingering(question));
        break;
    case 7:
        checked(canebrake_instruments(question));
        break;
    default:
        sound(line, question);
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size)
{
    if (size < 2)
        return 0;
    const std::string rest(reinterpret_cast<const char*>(data) + 1, size - 1);
    canebrake_line* line = nullptr;
    switch (data[0] % 3) {
    case 0: {
        const canebrake_answer answer = canebrake_open(rest.data(), rest.size(), "fuzz", &line);
        opened(answer, line);
        break;
    }
    case 1: {
        const canebrake_answer answer = canebrake_open_phrase(rest.c_str(), &line);
        opened(answer, line);
        break;
    }
    default:
        ask(rest[0], rest.c_str() + 1);
    }
    return 0;
}
