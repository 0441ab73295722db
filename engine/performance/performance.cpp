// SPDX-License-Identifier: MIT
#include "engine/performance/performance.h"

#include "models/air/air.h"
#include "models/bore/barrel.h"
#include "models/maker/maker.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

namespace
{

// Common practice, no source, unless said otherwise.
constexpr double tongue_touch_s = 0.014; // reed held before a tongued note in an unbroken breath
constexpr double tongue_release_s = 0.0007;
constexpr double breath_rise_s = 0.010;
constexpr double silent_breath = 0.92; // of what a ppp needs: the reed is silent
constexpr double breath_only_s = 0.15; // a start from nothing
constexpr double breath_coax_hz = 8.0; // more breath at first wakes the reed, the more the lower the note
constexpr double coax_s = 0.30;
constexpr double to_nothing_s = 0.30;
constexpr double taper_s = 0.070; // a phrase's last note dies with the breath
// A tongue on the reed, a lip and a new vowel quieten the bore before the next note (from memory: decay after
// the tongue's stop is heard as some 50 ms, where the bore alone would ring for 450).
constexpr double tongue_loss = 350.0;
constexpr double restart_lean_s = 0.06; // a tongued note in a lower register: the old one is damped this long
constexpr double restart_lean = 12.0;
constexpr int wide_drop = 7; // semitones down within the clarion

double smooth(double x)
{
    x = std::clamp(x, 0.0, 1.0);
    return x * x * (3.0 - 2.0 * x);
}

} // namespace

Performance::Performance(const Instrument& instrument, const Line& line, const RenderSettings& settings,
                         Part part)
    : instrument_(instrument), line_(line), settings_(settings),
      skill_(settings.own_skill.value_or(skill(settings.player))), tempo_(line.tempo, settings.tempo_scale),
      part_(std::move(part)), tick_s_(double(control_tick) / (settings.rate.value * settings.oversampling))
{
    // The bore follows the air's sound speed; a maker's A4 scales it whole (the player's other barrel).
    const double warm = breath_air(settings.temperature).sound_speed_mps / breath_air({25.0}).sound_speed_mps;
    base_cents_ = 1200.0 * std::log2(warm * settings.a4.value / 440.0);
    if (settings_.barrel_m > 0.0)
        hear_the_barrel();
    phrase_start_.resize(part_.notes.size());
    phrase_end_.resize(part_.notes.size());
    for (std::size_t i = 0; i < part_.notes.size();) {
        std::size_t last = i;
        while (last + 1 < part_.notes.size() && part_.joined[last])
            ++last;
        for (std::size_t k = i; k <= last; ++k) {
            phrase_start_[k] = part_.notes[i].start_s;
            phrase_end_[k] = part_.notes[last].end_s;
        }
        i = last + 1;
    }
}

/// What the barrel's place does to each note, which the player hears like any other deviation.
void Performance::hear_the_barrel()
{
    const Resonator home(instrument_.geometry, breath_air({25.0}), instrument_.vent_index);
    const Resonator out(with_barrel_out(instrument_.geometry, settings_.barrel_m), breath_air({25.0}),
                        instrument_.vent_index);
    for (std::size_t i = 0; i < part_.notes.size(); ++i) {
        barrel_cents_.push_back(0.0);
        if (part_.notes[i].silent)
            continue;
        HoleState holes = fingering(i).holes;
        if (fingering(i).vent > 0.0)
            holes.open |= 1u << instrument_.vents[fingering(i).vent_number];
        const double hz =
            frequency({double(part_.notes[i].written.number + instrument_.transposition)}, {440.0}).value;
        const double before = played_frequency(home, holes, hz, 100.0);
        const double after = before > 0.0 ? played_frequency(out, holes, before, 100.0) : 0.0;
        if (after > 0.0)
            barrel_cents_.back() = 1200.0 * std::log2(after / before);
    }
}

double Performance::end_s() const
{
    double end = 0.0;
    for (const auto& note : part_.notes)
        end = std::max(end, note.end_s);
    return end;
}

StateChange Performance::first_state() const
{
    for (std::size_t i = first_; i < part_.notes.size(); ++i)
        if (!part_.notes[i].silent)
            return {0.0, fingering(i).holes, 0.0, fingering(i).vent_number};
    return {};
}

void Performance::start_at(std::size_t note)
{
    first_ = at_ = note;
    changes_made_ = note + 1;
    queue_.clear();
    queue_at_ = 0;
    vent_time_ = -1.0;
}

/// The deviation that is there before the player does anything: the instrument's, and the air's.
double Performance::natural_cents(const Blowing& blowing) const
{
    const double tuned = 1200.0 * std::log2(settings_.a4.value / 440.0);
    return blowing.cents + base_cents_ - tuned;
}

double Performance::correction(double natural) const
{
    return -std::clamp(skill_.correction * natural, -skill_.correction_limit, skill_.correction_limit);
}

double Performance::level_at(std::size_t note, double time_s) const
{
    const auto& line_note = line_.notes[part_.notes[note].line_note];
    const double quarter = tempo_.quarter_at(time_s);
    double level = dynamic_at(line_.dynamics, std::max(quarter, line_note.start_quarter + 1e-6));
    if (line_.dynamics.empty() && line_note.velocity)
        level = 4.0 + (*line_note.velocity - 80.0) / 16.0;
    const double span = phrase_end_[note] - phrase_start_[note];
    const bool slur_of_several = span > part_.notes[note].end_s - part_.notes[note].start_s + 1e-6;
    if (skill_.shaping > 0.0 && slur_of_several && span > 0.8) {
        const double at = (time_s - phrase_start_[note]) / span;
        level += skill_.shaping * std::sin(3.14159265 * std::clamp(at, 0.0, 1.0)) - 0.3 * skill_.shaping;
    }
    return level;
}

bool Performance::begun_from_nothing(std::size_t note) const
{
    return !slurred_into(note) && level_at(note, part_.notes[note].start_s) < -0.5;
}

Blowing Performance::blowing(std::size_t note, double time_s) const
{
    const auto marks = line_.notes[part_.notes[note].line_note].articulations;
    const double since = std::max(0.0, time_s - part_.notes[note].start_s);
    double level = level_at(note, time_s);
    // Above the ladder's step, dying away: accents; fp is loud for a moment and soft within 150 ms.
    const double push = marks & art_sforzando ? 2.2
                        : marks & art_marcato ? 1.6
                        : marks & art_accent  ? 1.2
                                              : 0.0;
    level += push * std::exp(-since / 0.12);
    if (marks & art_forte_piano)
        level += 3.0 * std::exp(-std::max(0.0, since - 0.04) / 0.05);
    // A note begun from nothing is fed as a pianissimo from the start: the reed takes its time (a second or
    // so in the chalumeau), and that is the niente that is heard. Fed less it comes late, and all at once.
    if (level < 1.0 && begun_from_nothing(note))
        level = 1.0;
    Blowing result = instrument_.blowing_at(part_.choices[note].blown_as, level);
    if (!barrel_cents_.empty())
        result.cents += barrel_cents_[note];
    if (begun_from_nothing(note))
        result.start_gamma = result.gamma;
    if (level <
        0.0) { // towards nothing: the breath sinks under what the reed needs to sound, and starts nothing
        const double left = std::clamp(1.0 + level, 0.0, 1.0);
        result.gamma *= silent_breath + (1.0 - silent_breath) * left;
        result.start_gamma = result.gamma + left * left * (result.start_gamma - result.gamma);
    }
    return result;
}

double Performance::start_gamma(std::size_t note, double time_s) const
{
    return blowing(note, time_s).start_gamma;
}

Control Performance::held(std::size_t note, double time_s) const
{
    const double since = time_s - part_.notes[note].start_s;
    Blowing now = blowing(note, time_s);
    double natural = natural_cents(now);
    const bool glides = slurred_into(note) && !skill_.even && since < 0.03;
    if (glides) { // breath and lip glide over a change
        const Blowing before = blowing(note - 1, time_s);
        const double t = smooth((since + 0.005) / 0.03);
        const auto mix = [t](double from, double to) { return from + t * (to - from); };
        natural = mix(natural_cents(before), natural);
        now.gamma = mix(before.gamma, now.gamma);
        now.zeta = mix(before.zeta, now.zeta);
        now.closing_pa = mix(before.closing_pa, now.closing_pa);
    }
    Control c;
    c.tongue = 0.0;
    c.gamma = now.gamma * flutter(note, time_s);
    c.zeta = now.zeta;
    c.closing_pa = now.closing_pa;
    c.cents = base_cents_ + correction(natural) + slide_cents(note, time_s);
    c.breath_noise = skill_.even ? 0.0 : 0.004;
    c.key_noise = skill_.even ? 0.0 : 1.0;
    if (skill_.even) {
        const double wanted = -18.0 - 4.5 * (6.0 - std::clamp(level_at(note, time_s), 0.0, 7.0));
        c.loudness = std::pow(10.0, (wanted - now.level_db) / 20.0);
    }
    c.vent = fingering(note).vent;
    if (now.tract_ratio > 0.0) {
        c.tract_hz = now.tract_ratio * part_.notes[note].target_hz;
        c.tract_zc = now.tract_zc;
    }
    return c;
}

double Performance::sounding_end(std::size_t at) const
{
    return canebrake::sounding_end(part_, line_, at);
}

Control Performance::control(double time_s)
{
    while (at_ + 1 < part_.notes.size() &&
           time_s >= part_.notes[at_ + 1].stroke_s - (part_.joined[at_] ? 0.0 : tongue_touch_s))
        ++at_;
    if (part_.notes.empty() || part_.notes[at_].silent) {
        Control rest;
        rest.cents = base_cents_;
        rest.key_noise = skill_.even ? 0.0 : 1.0;
        return rest;
    }
    Control c = held(at_, time_s);
    if (!slurred_into(at_))
        speak(c, time_s);
    else if (!part_.notes[at_ - 1].silent)
        slur(c, time_s);
    if (!part_.joined[at_])
        let_go(c, time_s);
    return c;
}

/// A start of its own. The tongue keeps the reed shut until the note's start; a new breath rises behind it.
void Performance::speak(Control& c, double time_s) const
{
    const PlannedNote& note = part_.notes[at_];
    // The tongue lets go on a tick: within one its release takes half as long or twice, and that decides
    // which register a soft note of the upper clarion speaks in.
    const double since = time_s - std::round(note.stroke_s / tick_s_) * tick_s_;
    // A higher register that still rings would take the new note with it: tongue and lip damp it, and the
    // breath does not push.
    const bool rings = at_ > first_ && !part_.notes[at_ - 1].silent &&
                       note.start_s - part_.notes[at_ - 1].end_s < 0.2 &&
                       fingering(at_ - 1).register_number > fingering(at_).register_number;
    if (rings && since < restart_lean_s) {
        c.lean_mode = fingering(at_ - 1).register_number - 1;
        c.lean = restart_lean;
    } else if (!rings) {
        const Blowing start = blowing(at_, time_s);
        c.gamma = std::max(c.gamma, c.gamma + start_breath(start, since) * (start.start_gamma - c.gamma));
    }
    // The longest tubes of the clarion speak late when soft: the tract leans on the note until it stands.
    if (fingering(at_).register_number == 2 && since < 0.1 && !begun_from_nothing(at_)) {
        const double longest = std::clamp((74.5 - note.written.number) / 3.5, 0.0, 1.0);
        const double soft = std::clamp(0.5 * (4.0 - level_at(at_, note.start_s)), 0.0, 1.0);
        c.tract_hz = note.target_hz * 1.02;
        c.tract_zc = skill_.slur_tract_zc * longest * soft * (1.0 - smooth((since - 0.05) / 0.04));
    }
    if (since < 0.0)
        c.tongue_loss = tongue_loss;
    c.tongue = 1.0 - std::clamp(since / tongue_release_s, 0.0, 1.0);
    const bool new_breath = at_ == first_ || note.start_s - part_.notes[at_ - 1].end_s > 0.05;
    if (begun_from_nothing(at_))
        c.gamma =
            smooth(since / breath_only_s) *
            (c.gamma + breath_coax_hz / note.target_hz * (1.0 - smooth((since - coax_s) / breath_only_s)));
    else if (new_breath)
        c.gamma *= std::clamp((since + tongue_touch_s) / breath_rise_s, 0.0, 1.0);
}

/// Help of lip, breath and tract while a slurred note forms.
void Performance::slur(Control& c, double time_s) const
{
    const PlannedNote& note = part_.notes[at_];
    const double since = time_s - note.start_s;
    const int left = fingering(at_ - 1).register_number, coming = fingering(at_).register_number;
    if (since < skill_.slur_s + 0.04) {
        const double hold = 1.0 - smooth((since - skill_.slur_s) / 0.04);
        const auto lean = [&](int mode) {
            c.lean_mode = mode;
            c.lean = 1.0 + (skill_.lean - 1.0) * hold;
        };
        const auto shape_tract = [&] {
            c.tract_hz = note.target_hz * 1.02;
            c.tract_zc = skill_.slur_tract_zc * hold;
        };
        if (left != coming) {
            lean(left - 1);
            const bool down = coming < left;
            if (down && skill_.slur_gamma_down > 0.0)
                c.gamma += hold * (std::min(c.gamma, skill_.slur_gamma_down) - c.gamma);
            if (!down && skill_.slur_gamma_up > 0.0)
                c.gamma += hold * skill_.slur_gamma_up;
            if (skill_.slur_tract_zc > 0.0 && coming < 3)
                shape_tract();
        } else if (coming == 2 && part_.notes[at_ - 1].written.number - note.written.number >= wide_drop) {
            // The long tube's next mode lies near the short tube's note and would take it over.
            lean(coming);
            shape_tract();
        }
    }
    if (since < 0.02) { // the vent's finger moves with the others
        const double before = fingering(at_ - 1).vent;
        c.vent = before + smooth((time_s - vent_time_) / 0.006) * (c.vent - before);
    }
}

/// The end of a note that is not joined to the next: stopped by the tongue, or let go with the breath.
void Performance::let_go(Control& c, double time_s) const
{
    const PlannedNote& note = part_.notes[at_];
    const double end = sounding_end(at_);
    const double length = note.end_s - note.start_s;
    const bool runs_on = at_ + 1 < part_.notes.size() && part_.notes[at_ + 1].start_s - end < 0.03;
    const bool short_note = end < note.end_s - 0.02;
    if (!runs_on && !short_note) {
        const bool to_nothing = level_at(at_, end) < 0.0;
        const double taper = std::min(to_nothing ? to_nothing_s : taper_s, 0.4 * length);
        const double left = (end - time_s) / taper;
        if (left < 1.0)
            c.gamma *= smooth(std::max(0.0, left));
    } else {
        c.tongue = std::max(c.tongue, std::clamp((time_s - (end - 0.004)) / 0.004, 0.0, 1.0));
    }
    if (time_s > end) {
        c.tongue = 1.0;
        c.gamma = runs_on ? c.gamma : 0.0;
    }
}

} // namespace canebrake
