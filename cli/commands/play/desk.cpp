// SPDX-License-Identifier: MIT
#include "cli/commands/play/desk.h"

#include "engine/telling/names.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace canebrake
{

namespace
{

constexpr double tempo_step = 1.05, gain_step_db = 3.0, softest_db = -60.0;

} // namespace

Desk::Desk(PlayedPart& part, LivePlayer& player, Outlet& outlet, const Device& device, Screen& screen,
           const PlayRequest& request, LivePlayer::Stretch round)
    : part_(part), player_(player), outlet_(outlet), device_(device), screen_(screen), first_(part.view(0)),
      bars_(first_->line), coming_(part), manner_(part.first_manner()), gain_db_(request.gain.value),
      round_(round)
{
}

void Desk::change(const Manner& manner)
{
    manner_ = manner;
    player_.change([&part = part_, manner] { return part.make(manner); });
}

void Desk::go_on()
{
    going_ = true;
    outlet_.order({Order::Kind::go});
}

void Desk::stop(Order::Kind how)
{
    going_ = false;
    outlet_.order({how});
}

void Desk::louder(double decibels)
{
    gain_db_ = std::clamp(gain_db_ + decibels, softest_db, 0.0);
    outlet_.order({Order::Kind::gain, float(amplitude(Decibels{gain_db_}))});
}

void Desk::to_bars(const std::string& typed)
{
    const auto numbers = bar_numbers(typed);
    if (!numbers)
        return screen_.say("found '" + typed +
                           "', wanted a bar, such as 24, or bars to repeat, such as 12-14");
    if (numbers->first == numbers->second && typed.find('-') == std::string::npos) {
        if (const auto start = bars_.start_of(numbers->first))
            return player_.go_to(*start);
    } else if (const auto stretch = bars_.stretch(numbers->first, numbers->second)) {
        round_ = stretch;
        round_from_.reset();
        return player_.repeat(round_);
    }
    screen_.say("found no bar " + typed + " in what is played");
}

void Desk::repeat_sign()
{
    const double here = player_.aimed_quarter();
    const Bars::Place place = bars_.at(here);
    if (place.bar == nullptr)
        return;
    if (round_) {
        round_.reset();
        player_.repeat({});
    } else if (!round_from_) {
        round_from_ = place.bar->start_quarter;
    } else {
        const double end = place.bar->start_quarter + place.bar->length_quarters;
        if (end > *round_from_) {
            round_ = std::pair{*round_from_, end};
            player_.repeat(round_);
        }
        round_from_.reset();
    }
}

void Desk::next_clarinet()
{
    const auto& names = part_.fitting();
    if (names.size() < 2)
        return screen_.say("no other clarinet has all these notes");
    const std::string now = manner_.on.empty() ? first_->instrument : manner_.on;
    auto found = std::find(names.begin(), names.end(), now);
    found = found == names.end() || std::next(found) == names.end() ? names.begin() : std::next(found);
    Manner manner = manner_;
    manner.on = *found;
    change(manner);
}

void Desk::obey(const Key& key)
{
    Manner manner = manner_;
    switch (key.ask) {
    case Ask::pause_or_go:
        return going_ ? stop(Order::Kind::pause) : go_on();
    case Ask::tacet:
        return stop(Order::Kind::tacet);
    case Ask::end:
        ends_ = true;
        return;
    case Ask::bar_on:
        if (const auto next = bars_.after(player_.aimed_quarter()))
            player_.go_to(*next);
        return;
    case Ask::bar_back:
        return player_.go_to(bars_.before(player_.aimed_quarter()));
    case Ask::to_bars:
        return to_bars(key.typed);
    case Ask::round:
        return repeat_sign();
    case Ask::quicker:
    case Ask::slower:
        manner.tempo = std::clamp(manner.tempo * (key.ask == Ask::quicker ? tempo_step : 1.0 / tempo_step),
                                  PlayedPart::slowest, PlayedPart::quickest);
        if (std::abs(manner.tempo - 1.0) < 1e-9)
            manner.tempo = 1.0; // as written, to the last bit
        return change(manner);
    case Ask::as_written:
        manner.tempo = 1.0;
        return change(manner);
    case Ask::softer:
        return louder(-gain_step_db);
    case Ask::louder:
        return louder(gain_step_db);
    case Ask::ideal:
    case Ask::studio:
    case Ask::learner:
        manner.player = key.ask == Ask::ideal    ? Player::ideal
                        : key.ask == Ask::studio ? Player::studio
                                                 : Player::learner;
        return change(manner);
    case Ask::next_clarinet:
        return next_clarinet();
    }
}

std::string Desk::round_in_words() const
{
    if (round_from_)
        return bars_.at(*round_from_).bar->number + "-";
    if (!round_)
        return "";
    const Bar* const first = bars_.at(round_->first).bar;
    const Bar* const last = bars_.at(round_->second - 1e-3).bar;
    return first == last ? first->number : first->number + "-" + last->number;
}

void Desk::show(const std::string& typing)
{
    if (const auto complaint = player_.complaint()) {
        screen_.say("canebrake: " + *complaint);
        manner_ = part_.view(outlet_.heard().take)->manner;
    }
    if (!screen_.there())
        return;
    const Outlet::Heard heard = outlet_.heard();
    const std::shared_ptr<const TakeView> view = part_.view(heard.take);
    const double quarter = player_.heard_quarter();
    const TempoMap tempo(view->line.tempo);
    Transport t;
    const Bars::Place place = bars_.at(quarter);
    t.bar = place.bar != nullptr ? place.bar->number : "";
    t.beat = place.beat;
    if (const TakeView::Note* const note = view->at(tempo.seconds_at(quarter) + 1e-3)) {
        t.written = note->written;
        t.fingering = note->fingering;
    }
    t.tempo = tempo.tempo_at(quarter);
    t.player = player_name(view->manner.player);
    t.instrument = view->manner.on.empty() ? view->instrument : view->manner.on;
    const Outlet::State state = outlet_.state();
    t.state = state == Outlet::State::paused  ? "paused"
              : state == Outlet::State::tacet ? "tacet"
              : player_.changing()            ? "changing"
                                              : "";
    t.round = round_in_words();
    t.typing = typing;
    t.coming = coming_.after(quarter, view->manner);
    t.gain_db = gain_db_;
    t.late = std::size_t(outlet_.late_blocks() + device_.gaps());
    screen_.show(t);
}

} // namespace canebrake
