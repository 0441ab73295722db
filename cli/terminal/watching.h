// SPDX-License-Identifier: MIT
#pragma once

#include "cli/terminal/console.h"
#include "cli/terminal/progress.h"
#include "engine/part/watch.h"

namespace canebrake
{

/// A console that watches a long piece of work: draws its progress, and breaks it off when it is told to
/// stop. Must outlive the watch it gives.
class Watching
{
public:
    explicit Watching(const Console& console) : console_(console), progress_(console.err, console.columns) {}

    Watch watch()
    {
        return {[this](double done, double whole) { progress_.show(done, whole); }, stop_only().stop};
    }
    /// Without progress.
    Watch stop_only() const
    {
        return {{}, [stop = console_.stop] { return stop != nullptr && *stop; }};
    }

private:
    const Console& console_;
    Progress progress_;
};

} // namespace canebrake
