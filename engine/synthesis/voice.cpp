// SPDX-License-Identifier: MIT
#include "engine/synthesis/voice.h"

#include "models/reed/flow.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace canebrake
{

namespace
{

constexpr double pi = std::numbers::pi;
constexpr double reed_damping = 1.0;
constexpr double vent_loss =
    1.5; // K of ΔP = K ρ v²; sharp edges 1.5…2.8, rounded 0.5 (Dalmont 2002, from memory)
constexpr double vent_decay = 200.0; // linear loss over mass, 1/s
constexpr double tract_q = 8.0;

} // namespace

void Voice::prepare(const Instrument& instrument, double characteristic_impedance, double density,
                    double rate, std::uint64_t seed)
{
    rate_ = rate;
    reed_.prepare(rate, instrument.reed_hz, reed_damping);
    window_ = instrument.reed_window;
    vents_ = {};
    for (std::size_t v = 0; v < std::min(vents_.size(), std::max<std::size_t>(1, instrument.vents.size()));
         ++v) {
        const bool first = v == 0; // the others are as their holes are
        const std::size_t hole = first ? instrument.vent_index : instrument.vents[v];
        const double radius = first ? instrument.vent_radius_m : instrument.geometry.holes[hole].radius_m;
        const double chimney = first ? instrument.vent_chimney_m : instrument.geometry.holes[hole].chimney_m;
        const double area = pi * radius * radius;
        Vent& vent = vents_[v];
        vent.hole = hole;
        vent.mass = density * (chimney + 1.6 * radius) / (area * characteristic_impedance);
        vent.linear = vent_decay * vent.mass;
        const double speed = 1.0 / (characteristic_impedance * area);
        vent.square_per_pa = vent_loss * density * speed * speed;
    }
    seed_ = seed;
    breath_noise_.prepare(rate);
    key_noise_.prepare(instrument.geometry, rate);
    high_band_.prepare(rate);
    reset();
}

/// The vent a table couples to; the first if it names none of the instrument's.
const Voice::Vent& Voice::vent_of(const ModeTable& table) const noexcept
{
    for (const Vent& vent : vents_)
        if (vent.hole == table.vent_hole && vent.square_per_pa > 0.0)
            return vent;
    return vents_[0];
}

void Voice::reset() noexcept
{
    live_ = 0;
    fade_ = fade_step_ = 1.0;
    flow_ = force_ = vent_flow_ = 0.0;
    lean_mode_ = -1;
    lean_ = 1.0;
    tongue_loss_ = 0.0;
    tract_y_ = tract_a_ = tract_c_ = {};
    tract_self_ = tract_hz_ = tract_zc_ = 0.0;
    breath_dice_.seed(seed_);
    key_dice_.seed(seed_ + 0x5EED);
    ticked_ = false;
    now_ = {};
    factor_cents_ = 1e9;
    reed_.reset();
    breath_noise_.reset();
    key_noise_.reset();
    high_band_.reset();
    high_share_ = high_goal_ = 0.0;
}

void Voice::start_state(const ModeTable& table) noexcept
{
    live_ = 1;
    banks_[0] = Bank{};
    if (factor_cents_ > 1e8)
        factor_cents_ = 0.0;
    banks_[0].set(table, std::exp2(factor_cents_ / 1200.0), rate_, lean_mode_, lean_, tongue_loss_);
    banks_[0].weight = banks_[0].weight_goal = banks_[0].start_weight = 1.0;
    fade_ = fade_step_ = 1.0;
    vent_flow_ = 0.0;
    high_share_ = high_goal_ = HighBand::share(table);
    ticked_ = false;
    key_noise_.reset();
}

double Voice::add_bank(const ModeTable& to, double fade_s) noexcept
{
    if (live_ == most_banks) { // the oldest has all but faded; its share goes to the next
        banks_[1].weight += banks_[0].weight;
        for (std::size_t i = 1; i < live_; ++i)
            banks_[i - 1] = banks_[i];
        --live_;
    }
    double energy = 0.0;
    for (std::size_t i = 0; i < live_; ++i) {
        banks_[i].start_weight = banks_[i].weight;
        energy += banks_[i].weight * banks_[i].energy(flow_);
    }
    Bank& fresh = banks_[live_];
    fresh = Bank{};
    fresh.set(to, std::exp2(factor_cents_ / 1200.0), rate_, lean_mode_, lean_, tongue_loss_);
    ++live_;
    high_goal_ = HighBand::share(to);
    fade_ = 0.0;
    fade_step_ = std::min(1.0, double(control_tick) / (rate_ * fade_s));
    return energy;
}

void Voice::set_coefficients(const Control& next) noexcept
{
    // A tenth of a cent cannot be heard and saves 40 exponentials a tick.
    if (std::abs(next.cents - factor_cents_) > 0.1 || next.lean_mode != lean_mode_ ||
        std::abs(next.lean - lean_) > 0.02 || next.tongue_loss != tongue_loss_) {
        factor_cents_ = next.cents;
        lean_mode_ = next.lean_mode;
        lean_ = next.lean;
        tongue_loss_ = next.tongue_loss;
        for (std::size_t i = 0; i < live_; ++i) {
            Bank& bank = banks_[i];
            std::array<Complex, max_modes> z{};
            for (std::size_t n = 0; n < bank.used; ++n)
                z[n] = bank.mode(n, flow_);
            bank.set(*bank.table, std::exp2(factor_cents_ / 1200.0), rate_, lean_mode_, lean_, tongue_loss_);
            for (std::size_t n = 0; n < bank.used; ++n)
                bank.set_mode(n, z[n], flow_);
        }
    }
    if (next.tract_hz != tract_hz_ || next.tract_zc != tract_zc_) {
        const Complex z = tract_y_ + 0.5 * tract_self_ * flow_;
        tract_hz_ = next.tract_hz;
        tract_zc_ = next.tract_zc;
        if (tract_hz_ > 0.0) {
            const double omega = 2.0 * pi * tract_hz_;
            const double decay = omega / (2.0 * tract_q);
            const Complex s{-decay, omega};
            const Complex sT = s / rate_;
            const Complex a = std::exp(sT);
            const Complex now = tract_zc_ * decay * (a - 1.0 - sT) / (s * sT);
            const Complex before = tract_zc_ * decay * ((sT - 1.0) * a + 1.0) / (s * sT);
            tract_a_ = a;
            tract_c_ = a * now + before;
            tract_self_ = 2.0 * now.real();
        } else {
            tract_a_ = 0.99 * tract_a_;
            tract_c_ = {};
            tract_self_ = 0.0;
        }
        tract_y_ = z - 0.5 * tract_self_ * flow_;
    }
}

void Voice::step_weights() noexcept
{
    if (live_ < 2)
        return;
    fade_ = std::min(1.0, fade_ + fade_step_);
    double before = 0.0, after = 0.0;
    for (std::size_t i = 0; i < live_; ++i) {
        Bank& bank = banks_[i];
        bank.weight_goal = i + 1 == live_ ? fade_ : (1.0 - fade_) * bank.start_weight;
        bank.weight_step = (bank.weight_goal - bank.weight) / double(control_tick);
        const double energy = bank.energy(flow_);
        before += bank.weight * energy;
        after += bank.weight_goal * energy;
    }
    if (after > before && after > 0.0) {
        const double k = std::sqrt(before / after);
        for (std::size_t i = 0; i < live_; ++i)
            banks_[i].scale(k, flow_);
    }
}

/// What leads from one sample to the next through a tick. Most of it runs straight.
struct Voice::Tick {
    const Control &from, &to;
    double turbulence;
    const Vent& port;
    double vent_square, vent_over_mass;
    bool vented;    // at some time in it
    double t = 0.0; // 0 … 1
    double mix(double Control::*what) const { return from.*what + t * (to.*what - from.*what); }
};

/// What all live banks hold ready before this sample's flow is known.
struct Voice::Ready {
    double pressure = 0.0, self = 0.0, sound = 0.0, vent = 0.0, out_direct = 0.0, out_vent = 0.0;
};

inline Voice::Ready Voice::advance_bore(bool vented) noexcept
{
    Ready sum;
    for (std::size_t i = 0; i < live_; ++i) {
        Bank& bank = banks_[i];
        const auto sums = bank.advance(flow_, vent_flow_, vented);
        bank.weight += bank.weight_step;
        sum.pressure += bank.weight * sums.pressure;
        sum.sound += bank.weight * sums.sound;
        sum.vent += bank.weight * sums.vent;
        sum.self += bank.weight * bank.self;
        sum.out_direct += bank.weight * bank.out_direct;
        sum.out_vent += bank.weight * bank.out_vent;
    }
    tract_y_ = tract_a_ * tract_y_ + tract_c_ * flow_;
    sum.pressure += 2.0 * tract_y_.real();
    sum.self += tract_self_;
    return sum;
}

/// Flow through the reed this sample, against what the bore holds ready.
inline double Voice::blow(const Tick& tick, const Ready& bore) noexcept
{
    const double blown =
        tick.mix(&Control::gamma) + breath_noise_.next(breath_dice_(), tick.turbulence, flow_);
    const double settled = reed_.advance(force_);
    const double guess = settled + reed_.direct() * (bore.pressure + bore.self * flow_ - blown);
    const double free = 1.0 - tick.mix(&Control::tongue);
    const double w = window_ * tick.mix(&Control::zeta) * std::max(0.0, 1.0 + guess) * free;
    const double flow = reed_flow(blown, bore.pressure, bore.self, w);
    force_ = bore.pressure + bore.self * flow - blown;
    return flow;
}

/// Flow through the register vent, which it sets. Returns how much it grew.
inline double Voice::leak(const Tick& tick, double vent_pressure) noexcept
{
    const double before = vent_flow_;
    const double opening = tick.mix(&Control::vent);
    if (opening > 1e-3)
        vent_flow_ =
            (before + tick.vent_over_mass * opening * vent_pressure) /
            (1.0 + tick.vent_over_mass * (tick.port.linear + tick.vent_square * std::abs(before) / opening));
    else
        vent_flow_ = std::abs(before) > 1e-9 ? 0.5 * before : 0.0; // the last of a closing vent
    return vent_flow_ - before;
}

void Voice::process(const Control& next, std::span<double, control_tick> out) noexcept
{
    if (live_ == 0) {
        std::fill(out.begin(), out.end(), 0.0);
        now_ = next;
        return;
    }
    set_coefficients(next);
    step_weights();
    Tick tick = begin_tick(next);
    for (std::size_t k = 0; k < control_tick; ++k) {
        tick.t = double(k + 1) * (1.0 / double(control_tick));
        const Ready bore = advance_bore(tick.vented);
        const double flow = blow(tick, bore);
        const double vent_growth = leak(tick, bore.vent);
        double sound = bore.sound;
        if (key_noise_.sounding())
            sound += key_noise_.add(key_dice_(), banks_[live_ - 1].yr, banks_[live_ - 1].yi);
        out[k] = (sound + bore.out_direct * flow + bore.out_vent * vent_flow_ + vent_growth * rate_ +
                  high_band_.next(flow, high_share_)) *
                 tick.mix(&Control::closing_pa) * tick.mix(&Control::loudness);
        flow_ = flow;
    }
    end_fade();
    now_ = next;
}

Voice::Tick Voice::begin_tick(const Control& next) noexcept
{
    const ModeTable& table = *banks_[live_ - 1].table;
    if (ticked_ && (now_.vent < 0.5) != (next.vent < 0.5))
        key_noise_.strike_vent(table, next.key_noise / next.closing_pa, key_dice_);
    ticked_ = true;
    high_share_ += std::min(1.0, 2.0 * fade_step_) * (high_goal_ - high_share_);
    const Vent& port = vent_of(table);
    return {now_,
            next,
            BreathNoise::strength(next.breath_noise, 0.5 * (now_.gamma + next.gamma) * next.closing_pa),
            port,
            port.square_per_pa * next.closing_pa,
            1.0 / rate_ / port.mass,
            now_.vent > 1e-3 || next.vent > 1e-3 || vent_flow_ != 0.0};
}

/// Weights land on their goals; once a fade is over only the newest bank sounds.
void Voice::end_fade() noexcept
{
    for (std::size_t i = 0; i < live_; ++i) {
        banks_[i].weight = banks_[i].weight_goal;
        banks_[i].weight_step = 0.0;
    }
    if (live_ > 1 && fade_ >= 1.0) {
        banks_[0] = banks_[live_ - 1];
        banks_[0].weight = banks_[0].weight_goal = 1.0;
        live_ = 1;
    }
}

} // namespace canebrake
