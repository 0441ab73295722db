// SPDX-License-Identifier: MIT
#include "engine/spots/rules.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

double Performed::until_next(std::size_t i) const
{
    return (i + 1 < size() ? note(i + 1).start_s : note(i).end_s) - note(i).start_s;
}

double Performed::silence_before(std::size_t i) const
{
    return i == 0 || note(i - 1).silent ? 10.0 : std::max(0.0, note(i).start_s - note(i - 1).end_s);
}

namespace
{

constexpr int lowest_of_sopranos = 52;                      // written E3: below it lie the extensions
constexpr double unhurried_s = 0.5;                         // a longer note gives the fingers no more
constexpr double rest_s = 0.15;                             // behind so much silence fingers move unheard
constexpr double held_s = 0.4;                              // so long a note is listened to
constexpr double out_of_tune_cents = 15.0;                  // of an alternate, against the usual way
constexpr std::array<double, 2> rocking_limits{2.1, 4.2};   // crossings a second (2 and 4, and a twentieth)
constexpr double rocking_gap_s = 0.8;                       // between two crossings of one rocking
constexpr std::array<double, 2> extension_limits{4.0, 6.5}; // notes a second
constexpr double inexact = 1.05;                            // no tempo is kept more closely than that

/// The fingers as they are needed at once: what is laid down early over a throat note, for what comes later,
/// may come when it likes.
Hands needed(const Performed& p, std::size_t at, std::size_t neighbour)
{
    const Choice& choice = p.part.choices[at];
    if (choice.fingering.use != FingeringUse::resonance || p.written(neighbour) > throat_high)
        return choice.hands;
    for (const Candidate& way : p.book.chart().ways(p.note(at).written))
        if (way.fingering.primary)
            return way.hands;
    return choice.hands;
}

/// The change of fingers into a note from the one before it.
struct Change {
    std::size_t into;
    const Fingering &from, &to;
    Transition moves;
    bool slurred;
    double rate; ///< notes a second about here
    bool register_key_alone() const { return moves.moves().size() == 1 && moves.register_key(); }
    int low() const { return std::min(from.written.number, to.written.number); }
    int high() const { return std::max(from.written.number, to.written.number); }
    bool down() const { return to.written < from.written; }
    bool other_register() const { return from.register_number != to.register_number; }
    bool over_the_break() const
    {
        return other_register() && low() <= throat_high && high() > throat_high && high() <= clarion_high;
    }
};

/// Of two notes of different length, between the two; nothing is gained beyond half a second.
double rate_between(double first_s, double second_s)
{
    const auto counted = [](double s) { return std::clamp(s, 0.03, unhurried_s); };
    return 1.0 / std::sqrt(counted(first_s) * counted(second_s));
}

/// Times its tempo, two notes follow each other at `rate`: once the longer of them is unhurried, only the
/// shorter gives more time. 0: at no tempo.
double share_for(double rate, double first_s, double second_s)
{
    const auto [shorter, longer] = std::minmax(first_s, second_s);
    const double share = rate * std::sqrt(shorter * longer);
    if (rate * unhurried_s <= 1.0)
        return 0.0;
    return longer <= share * unhurried_s ? share : rate * rate * shorter * unhurried_s;
}

bool within_one_ornament(const Performed& p, std::size_t a, std::size_t b)
{
    const auto &x = p.printed(a).figure, &y = p.printed(b).figure;
    return x && y && x->group == y->group;
}

/// Until the next note that is printed: an ornament counts as the one note it stands on.
double printed_length(const Performed& p, std::size_t i)
{
    if (!p.printed(i).figure)
        return p.until_next(i);
    std::size_t first = i, last = i;
    while (first > 0 && within_one_ornament(p, first - 1, i))
        --first;
    while (last + 1 < p.size() && within_one_ornament(p, i, last + 1))
        ++last;
    return p.note(last).start_s + p.until_next(last) - p.note(first).start_s;
}

Cause cause_of(const Change& change, const SlurSpeed& speed)
{
    if (change.moves.little_finger_slide() && speed.limit == SlurLimit::fingers)
        return Cause::little_finger;
    const bool wide = speed.limit == SlurLimit::new_register || speed.limit == SlurLimit::wide;
    if (speed.limit == SlurLimit::hangs || (change.down() && wide))
        return Cause::hanging;
    if (speed.limit != SlurLimit::fingers && speed.limit != SlurLimit::break_step)
        return Cause::leap;
    if (change.over_the_break() && !change.register_key_alone())
        return Cause::crossing;
    const bool few = change.moves.moves().size() <= 3;
    if (change.moves.same_hand_contrary() || (few && change.moves.hands_contrary()))
        return Cause::contrary;
    return Cause::fingers;
}

/// What a left A-flat/E-flat lever would make of a slide.
std::optional<Grade> with_lever(const Performed& p, const Change& change, const Spot& spot)
{
    if (p.settings.kit.left_a_flat_lever || spot.cause != Cause::little_finger)
        return {};
    Kit kit = p.settings.kit;
    kit.left_a_flat_lever = true;
    const Chart chart(p.instrument(), kit);
    std::optional<Grade> best;
    for (const Candidate& a : chart.ways(change.from.written))
        for (const Candidate& b : chart.ways(change.to.written)) {
            const bool by_lever =
                (a.hands.all() | b.hands.all()) & key("AE:l"); // the rest is there without it
            if (!a.fingering.primary || !b.fingering.primary || !by_lever)
                continue;
            const Transition moves(a.hands, b.hands);
            const SlurSpeed speed = slur_speed(a.fingering, b.fingering, moves, p.settings.player);
            Pace pace{spot.pace->rate, {speed.easy, speed.awkward, Pace::unlimited}};
            if (!best || pace.grade() < *best)
                best = pace.grade();
        }
    return best && *best < spot.grade ? best : std::nullopt;
}

std::optional<Spot> judged(const Performed& p, const Change& change)
{
    const SlurSpeed speed = slur_speed(change.from, change.to, change.moves, p.settings.player);
    Spot spot{change.over_the_break() ? Cause::crossing : Cause::fingers};
    spot.from = change.into - 1;
    spot.to = change.into;
    spot.limit = speed.limit;
    spot.cause = cause_of(change, speed);
    Pace pace{change.rate, {speed.easy, speed.awkward, Pace::unlimited}};
    if (change.low() < lowest_of_sopranos && pace.limits[0] > extension_limits[0] &&
        !change.moves.moves().empty()) {
        spot.cause = Cause::extension;
        pace.limits = {extension_limits[0], std::min(pace.limits[1], extension_limits[1]), Pace::unlimited};
    }
    if (!change.slurred &&
        spot.cause == Cause::hanging) { // behind the tongue nothing hangs: the fingers are left
        spot.limit = SlurLimit::fingers;
        spot.cause = Cause::fingers;
        const double fingers = 1.0 / change.moves.easy_seconds();
        pace.limits = {fingers, awkward_share * fingers, Pace::unlimited};
    }
    for (double& limit : pace.limits)
        limit *= inexact;
    if (!change.slurred)
        pace.ease(1);
    spot.pace = pace;
    spot.grade = pace.grade();
    const std::size_t from = change.into - 1;
    const double limit = pace.limits[std::size_t(p.settings.kit.reading)];
    const auto fixed = [&](std::size_t i) { return p.printed(i).grace || p.printed(i).figure; };
    if (pace.rate > limit)
        spot.safe_at = share_for(limit, p.until_next(from), p.until_next(change.into));
    spot.at_any_tempo = fixed(from) || fixed(change.into) || (pace.rate > limit && spot.safe_at == 0.0);
    if (spot.at_any_tempo)
        spot.safe_at = 0.0;
    spot.with_lever = with_lever(p, change, spot);
    // Only the ear knows whether the air column follows the fingers.
    const bool to_be_heard =
        change.slurred && (change.other_register() || (change.down() && change.high() - change.low() >= 12) ||
                           change.moves.little_finger_slide());
    if (spot.grade == Grade::easy && !to_be_heard)
        return {};
    return spot;
}

/// To and fro over the break: the hardest stretch of three crossings and more, each soon after the last.
void find_rocking(const Performed& p, const std::vector<Change>& changes, std::vector<Spot>& spots)
{
    std::vector<const Change*> crossings;
    for (const Change& change : changes)
        if (change.over_the_break() && !change.register_key_alone())
            crossings.push_back(&change);
    const auto time = [&](const Change* c) { return p.note(c->into).start_s; };
    for (std::size_t i = 0; i < crossings.size();) {
        std::size_t last = i;
        while (last + 1 < crossings.size() &&
               time(crossings[last + 1]) - time(crossings[last]) <= rocking_gap_s &&
               crossings[last + 1]->down() != crossings[last]->down())
            ++last;
        if (last - i >= 2) {
            double rate = 0.0;
            for (std::size_t k = i; k + 2 <= last; ++k)
                rate = std::max(rate, 2.0 / (time(crossings[k + 2]) - time(crossings[k])));
            std::size_t slurred = 0;
            for (std::size_t k = i; k <= last; ++k)
                slurred += crossings[k]->slurred;
            Spot spot{Cause::rocking};
            spot.from = crossings[i]->into - 1;
            spot.to = crossings[last]->into;
            const double share = p.settings.player == Player::learner ? learner_share : 1.0;
            spot.pace = Pace{rate, {share * rocking_limits[0], share * rocking_limits[1], Pace::unlimited}};
            if (2 * slurred < last - i + 1)
                spot.pace->ease(1);
            spot.grade = spot.pace->grade();
            if (spot.grade != Grade::easy) {
                // Its crossings are told of once.
                std::erase_if(spots, [&](const Spot& s) {
                    const bool over =
                        s.cause == Cause::crossing || s.cause == Cause::leap || s.cause == Cause::hanging;
                    return over && s.from >= spot.from && s.to <= spot.to;
                });
                spots.push_back(spot);
            }
        }
        i = last + 1;
    }
}

/// Of the usual fingering of a note: row of Instrument::blowing, if it is on the instrument.
std::optional<std::size_t> primary_row(const Instrument& instrument, WrittenPitch written)
{
    for (std::size_t i = 0; i < instrument.fingerings.size(); ++i)
        if (instrument.fingerings[i].written == written && instrument.fingerings[i].primary)
            return i;
    return {};
}

void find_held_alternates(const Performed& p, std::vector<Spot>& spots)
{
    for (std::size_t i = 0; i < p.size(); ++i) {
        const Choice& choice = p.part.choices[i];
        if (p.note(i).silent || choice.fingering.primary || p.printed(i).figure || p.seconds(i) < held_s)
            continue;
        const auto usual = primary_row(p.instrument(), p.note(i).written);
        if (!usual)
            continue;
        const std::string& name = choice.fingering.name;
        const bool passing =
            choice.fingering.use == FingeringUse::trill ||
            (choice.as_asked && (name == "fork" || name == "one-and-one" || name == "one-and-two"));
        const double cents = p.instrument().blowing_at(choice.blown_as, p.note(i).dynamic).cents -
                             p.instrument().blowing_at(*usual, p.note(i).dynamic).cents;
        if (!passing && !(choice.as_asked && std::abs(cents) >= out_of_tune_cents))
            continue;
        Spot spot{Cause::colour};
        spot.grade = Grade::awkward;
        spot.from = spot.to = i;
        spots.push_back(spot);
    }
}

/// The same trouble from note to note is one place.
void join_chains(std::vector<Spot>& spots)
{
    std::vector<Spot> joined;
    for (const Spot& spot : spots) {
        const bool chains =
            spot.cause == Cause::fingers || spot.cause == Cause::contrary || spot.cause == Cause::extension;
        Spot* const last = joined.empty() ? nullptr : &joined.back();
        if (chains && last != nullptr && last->cause == spot.cause && last->to == spot.from &&
            last->grade != Grade::easy && spot.grade != Grade::easy) {
            last->to = spot.to;
            if (spot.grade > last->grade ||
                spot.pace->rate / spot.pace->limits[0] > last->pace->rate / last->pace->limits[0])
                last->pace = spot.pace;
            if (spot.safe_at > 0.0 && (last->safe_at == 0.0 || spot.safe_at < last->safe_at))
                last->safe_at = spot.safe_at;
            last->at_any_tempo = last->at_any_tempo || spot.at_any_tempo;
            last->grade = worst(last->grade, spot.grade);
        } else {
            joined.push_back(spot);
        }
    }
    spots = std::move(joined);
}

} // namespace

void finger_rules(const Performed& p, std::vector<Spot>& spots)
{
    std::vector<Change> changes;
    for (std::size_t into = 1; into < p.size(); ++into) {
        const std::size_t from = into - 1;
        if (p.note(from).silent || p.note(into).silent || p.written(from) == p.written(into))
            continue;
        if (within_one_ornament(p, from, into) || p.silence_before(into) > rest_s)
            continue;
        const Choice &a = p.part.choices[from], &b = p.part.choices[into];
        const Transition moves(needed(p, from, into), needed(p, into, from));
        changes.push_back({into, a.fingering, b.fingering, moves, p.joined_into(into),
                           rate_between(printed_length(p, from), printed_length(p, into))});
    }
    std::vector<Spot> found;
    for (const Change& change : changes)
        if (auto spot = judged(p, change))
            found.push_back(std::move(*spot));
    find_rocking(p, changes, found);
    join_chains(found);
    find_held_alternates(p, found);
    spots.insert(spots.end(), found.begin(), found.end());
}

} // namespace canebrake
