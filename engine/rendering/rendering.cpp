// SPDX-License-Identifier: MIT
#include "engine/rendering/rendering.h"

#include "engine/performance/performance.h"
#include "engine/rendering/mock_up.h"
#include "engine/room/convolver.h"
#include "engine/synthesis/decimator.h"
#include "engine/synthesis/state_tables.h"
#include "engine/synthesis/voice.h"
#include "models/bore/barrel.h"

#include <cmath>

namespace canebrake
{

namespace
{

constexpr double tail_s = 0.35; // the bore rings on, the last breath dies

/// The instrument as it is put together today; nothing if just as its maker meant it.
std::optional<Instrument> with_barrel(const Instrument& instrument, double out_m)
{
    if (out_m == 0.0)
        return {};
    Instrument pulled = instrument;
    pulled.geometry = with_barrel_out(std::move(pulled.geometry), out_m);
    return pulled;
}

} // namespace

struct Rendering::State {
    std::optional<Instrument> pulled; // with its barrel out
    const Instrument& instrument;
    Line line; // the performance looks back into it
    RenderSettings settings;
    std::vector<std::string> remarks;
    std::unique_ptr<Performance> performance;
    StateTables tables;
    Voice voice;
    std::unique_ptr<MockUp> mock_up; // plays instead of `voice` for an even player
    Decimator decimator;
    std::optional<Convolver> room;
    std::vector<float> dry;     // one tick's sound on its way into the room
    std::uint64_t dry_left = 0; // samples the player still has to give; then the room rings on
    double duration_s = 0.0;
    std::uint64_t total = 0, given = 0;
    std::uint64_t ticks = 0;
    std::vector<float> ready; // what is rendered and not yet fetched
    std::size_t ready_at = 0;

    State(const Instrument& i, const Line& l, const RenderSettings& s)
        : pulled(with_barrel(i, s.barrel_m)), instrument(pulled ? *pulled : i), line(l), settings(s),
          tables(instrument, s.tables_folder), decimator(s.oversampling)
    {
    }
    void render_tick();
    void play_tick(std::vector<float>& out);
};

Rendering::Rendering(const Instrument& instrument, const Line& line, const RenderSettings& settings)
{
    TrillBook book(instrument, settings.kit);
    *this = Rendering(book, line, settings);
}

Rendering::Rendering(TrillBook& book, const Line& line, const RenderSettings& settings)
    : Rendering(book.chart().instrument(), line, prepare_part(book, line, settings), settings)
{
}

Rendering::Rendering(const Instrument& instrument, const Line& line, Part part,
                     const RenderSettings& settings)
    : state_(std::make_unique<State>(instrument, line, settings))
{
    State& state = *state_;
    state.remarks = std::move(part.remarks);
    state.performance = std::make_unique<Performance>(instrument, state.line, settings, std::move(part));
    state.duration_s = state.performance->end_s() + tail_s;
    state.dry_left = state.total = std::uint64_t(std::ceil(state.duration_s * settings.rate.value));
    if (settings.room != Room::none) {
        const auto response = room_response(room_design(settings.room), settings.rate);
        state.room.emplace(response);
        state.total += response.size();
        state.duration_s += double(response.size()) / settings.rate.value;
    }
    const double rate = settings.rate.value * settings.oversampling;
    if (settings.own_skill.value_or(skill(settings.player)).even)
        state.mock_up = std::make_unique<MockUp>(state.instrument, *state.performance, state.tables, rate);
    const auto& bore = state.tables.bore();
    state.voice.prepare(state.instrument, bore.characteristic_impedance(), bore.air().density_kgpm3, rate,
                        settings.seed);
    if (!state.performance->notes().empty()) {
        const StateChange first = state.performance->first_state();
        state.voice.start_state(state.tables.table(first.holes, first.vent_number));
    }
}

Rendering::~Rendering() = default;
Rendering::Rendering(Rendering&&) noexcept = default;
Rendering& Rendering::operator=(Rendering&&) noexcept = default;

const std::vector<PlannedNote>& Rendering::notes() const
{
    return state_->performance->notes();
}
const std::vector<std::string>& Rendering::remarks() const
{
    return state_->remarks;
}
double Rendering::sounding_end(std::size_t note) const
{
    return state_->performance->sounding_end(note);
}
double Rendering::duration_s() const
{
    return state_->duration_s;
}
std::uint64_t Rendering::total_samples() const
{
    return state_->total;
}

void Rendering::start_at(std::size_t note)
{
    constexpr double breath_s = 0.06; // the player breathes in before, and the tongue touches the reed
    State& state = *state_;
    const double rate = state.settings.rate.value * state.settings.oversampling;
    const double lead_s = state.mock_up ? MockUp::lead_s : breath_s;
    const double from_s = std::max(0.0, state.performance->notes().at(note).start_s - lead_s);
    state.ticks = std::uint64_t(from_s * rate) / control_tick;
    state.given = state.ticks * control_tick / std::uint64_t(state.settings.oversampling);
    const auto dry_total =
        std::uint64_t(std::ceil((state.performance->end_s() + tail_s) * state.settings.rate.value));
    state.dry_left = dry_total - std::min(dry_total, state.given);
    state.ready.clear();
    state.ready_at = 0;
    state.performance->start_at(note);
    if (state.mock_up)
        state.mock_up->start_at(note);
    state.decimator = Decimator(state.settings.oversampling);
    if (state.room)
        state.room.emplace(room_response(room_design(state.settings.room), state.settings.rate));
    state.voice.reset();
    const StateChange first = state.performance->first_state();
    state.voice.start_state(state.tables.table(first.holes, first.vent_number));
}

double Rendering::position_s() const
{
    return double(state_->given) / state_->settings.rate.value;
}

void Rendering::State::render_tick()
{
    if (!room) {
        play_tick(ready);
        return;
    }
    dry.clear();
    if (dry_left > 0)
        play_tick(dry);
    else
        dry.assign(control_tick, 0.0f);
    if (dry_left > 0 && dry.size() > dry_left)
        dry.resize(dry_left);
    dry_left -= std::min<std::uint64_t>(dry_left, dry.size());
    room->process(dry, ready);
}

void Rendering::State::play_tick(std::vector<float>& out)
{
    const double rate = settings.rate.value * settings.oversampling;
    const double time_s = double(ticks * control_tick) / rate;
    std::array<double, control_tick> block;
    if (mock_up) {
        mock_up->process(time_s, block);
    } else {
        for (const auto& change : performance->changes_until(time_s))
            voice.change_state(tables.table(change.holes, change.vent_number), change.fade_s,
                               [&](const ModeTable& from, const ModeTable& to) -> const Projection& {
                                   return tables.projection(from, to);
                               });
        voice.process(performance->control(time_s + double(control_tick) / rate), block);
    }
    decimator.process(block, instrument.gain, out);
    ++ticks;
}

std::size_t Rendering::process(std::span<float> out)
{
    State& state = *state_;
    const auto wanted = std::size_t(std::min<std::uint64_t>(out.size(), state.total - state.given));
    for (std::size_t done = 0; done < wanted;) {
        if (state.ready_at == state.ready.size()) {
            state.ready.clear();
            state.ready_at = 0;
            state.render_tick();
            continue;
        }
        const std::size_t n = std::min(wanted - done, state.ready.size() - state.ready_at);
        std::copy_n(state.ready.begin() + std::ptrdiff_t(state.ready_at), n,
                    out.begin() + std::ptrdiff_t(done));
        state.ready_at += n;
        done += n;
    }
    state.given += wanted;
    return wanted;
}

} // namespace canebrake
