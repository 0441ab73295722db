// SPDX-License-Identifier: MIT
// Prints what the judge finds in the labelled lines, and its precision and recall.
#include "tests/spots/labelled.h"

#include <cstdio>
#include <cstring>
#include <map>

using namespace canebrake;

int main(int argc, char** argv)
{
    const bool listen = !(argc > 1 && std::strcmp(argv[1], "rules") == 0);
    struct Score {
        int expected = 0, found = 0, false_alarms = 0;
    };
    std::map<std::string, Score> by_cause;
    Score all;
    int clean = 0, clean_lines = 0;
    for (const LabelledLine& line : labelled_lines()) {
        const Verdict verdict = verdict_on(line, listen);
        for (const auto& [cause, grade] : line.expect)
            ++by_cause[cause].expected, ++all.expected;
        const int found = int(line.expect.size() - verdict.missed.size());
        all.found += found;
        if (found > 0)
            for (const auto& [cause, grade] : line.expect)
                by_cause[cause].found += 1;
        for (const std::string& alarm : verdict.false_alarms)
            ++by_cause[alarm.substr(0, alarm.find(':'))].false_alarms, ++all.false_alarms;
        clean_lines += line.expect.empty();
        clean += line.expect.empty() && verdict.false_alarms.empty();
        if (verdict.missed.empty() && verdict.false_alarms.empty())
            continue;
        std::printf("%-32s", line.name.c_str());
        for (const std::string& cause : verdict.missed)
            std::printf(" missed %s", cause.c_str());
        for (const std::string& cause : verdict.false_alarms)
            std::printf(" false %s", cause.c_str());
        std::printf(" | found");
        for (const auto& [cause, grade] : verdict.found)
            std::printf(" %s:%s", cause.c_str(), word(grade));
        std::printf(" | %s\n", line.phrase.c_str());
    }
    std::printf("\n%-14s %8s %6s %6s\n", "cause", "labelled", "found", "false");
    for (const auto& [cause, score] : by_cause)
        std::printf("%-14s %8d %6d %6d\n", cause.c_str(), score.expected, score.found, score.false_alarms);
    std::printf("\nrecall %.1f %% (%d of %d), precision %.1f %% (%d false), clean %d of %d\n",
                100.0 * all.found / all.expected, all.found, all.expected,
                100.0 * all.found / (all.found + all.false_alarms), all.false_alarms, clean, clean_lines);
}
