// SPDX-License-Identifier: MIT
#include "engine/telling/finger_words.h"

namespace canebrake
{

std::string when_used(const Fingering& f, const Fingering& usual)
{
    const int n = f.written.number;
    switch (f.use) {
    case FingeringUse::primary:
        return f.name == "fork" ? "the usual fingering; from the note below the sliver is smoother"
                                : "the usual fingering";
    case FingeringUse::resonance:
        return "fingers kept down for what lies below or over the break; often darker";
    case FingeringUse::trill:
        return f.holes == usual.holes && f.vent == usual.vent
                   ? "the same sound, with a finger ready for a trill"
                   : "in passing only, in trills and quick turns: not for holding";
    case FingeringUse::alternate:
        break;
    }
    if (f.name == "sliver")
        return "chromatic steps from and to the note below";
    if (f.name == "one-and-one" || f.name == "one-and-two")
        return "arpeggios and leaps where the right hand is down already; not to be held exposed";
    if (f.name == "chromatic")
        return "chromatic steps and trills from F";
    if (f.name == "side")
        return n == 70 ? "clearer when held; steps and trills from A"
                       : "steps and trills from the note below";
    if (f.name == "long")
        return "slurs from low fingerings";
    if (f.name == "short")
        return "quick passing, without the right little finger";
    if (f.name == "open" || f.name == "thumb-off" || f.name == "throat")
        return "slurs from the top of the clarion (B5, C6)";
    if (f.name == "fork")
        return "quick passing from neighbouring fingerings";
    return "where the fingers before and after ask for it; try it on your instrument";
}

std::string named_use(const Fingering& f, const std::string& when)
{
    const bool says_nothing =
        f.name == "plain" || f.name == "trill" || f.name == "resonance" || f.use == FingeringUse::trill;
    return (says_nothing ? "" : f.name + ": ") + when;
}

std::string move_in_words(const FingerMove& m)
{
    const KeySet comes = m.to & ~m.from, goes = m.from & ~m.to, keeps = m.from & m.to;
    switch (m.motion) {
    case Motion::stays:
        return "stays on " + held_in_words(m.finger, m.to);
    case Motion::presses:
        return "down on " + held_in_words(m.finger, m.to);
    case Motion::lifts:
        return "up from " + held_in_words(m.finger, m.from);
    case Motion::rolls:
    case Motion::slides:
        break;
    }
    const std::string verb = m.motion == Motion::rolls ? "rolls " : "slides ";
    if (keeps != 0 && goes == 0)
        return verb + "to press " + held_in_words(m.finger, comes) + " as well";
    if (keeps != 0 && comes == 0)
        return verb + "off " + held_in_words(m.finger, goes) + " and keeps " + held_in_words(m.finger, keeps);
    return verb + "from " + held_in_words(m.finger, m.from) + " to " + held_in_words(m.finger, m.to);
}

std::string trilled_in_words(const Transition& t)
{
    std::string text;
    for (const FingerMove& m : t.moves()) {
        const bool adds = (m.from & ~m.to) == 0, leaves = (m.to & ~m.from) == 0;
        const std::string what = adds     ? "presses " + held_in_words(m.finger, m.to & ~m.from)
                                 : leaves ? "lifts from " + held_in_words(m.finger, m.from & ~m.to)
                                          : move_in_words(m);
        text += (text.empty() ? "" : "; ") + std::string(name(m.finger)) + " " + what;
    }
    return text;
}

} // namespace canebrake
