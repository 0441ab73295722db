// SPDX-License-Identifier: MIT
#pragma once

#include "engine/synthesis/bank.h"
#include "engine/synthesis/noise.h"
#include "models/instruments/instrument.h"
#include "models/reed/reed.h"
#include "models/units/units.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <span>

namespace canebrake
{

/// What the player does at one control tick; pressures and openings run straight to the next tick's.
struct Control {
    double gamma = 0.0;         ///< mouth pressure over the reed's closing pressure, 0…1.5
    double zeta = 0.25;         ///< embouchure, 0…0.5
    double closing_pa = 5000.0; ///< reed closing pressure (harder lip, higher)
    double tongue = 1.0;        ///< 0 off the reed … 1 holds it shut
    double cents = 0.0;         ///< scaling of the whole bore: lip, temperature and A4 together
    double vent = 0.0;          ///< opening of the register vent, 0…1
    double tract_hz = 0.0;      ///< vocal-tract resonance; 0 none
    double tract_zc = 0.0;      ///< its height over Zc
    int lean_mode = -1;         ///< mode damped by lip and tract, −1 none
    double lean = 1.0;          ///< how many times
    double tongue_loss = 0.0;   ///< what tongue and lip on a held reed take from the whole bore, 1/s
    double breath_noise = 0.0;  ///< turbulence at the reed: about its share of the closing pressure
    double key_noise = 0.0;     ///< pads and rings of the fingers that move; 1 as usual
    double loudness = 1.0;      ///< a last factor (the ideal player evens with it)
};

inline constexpr std::size_t control_tick = 32; ///< samples, at the voice's own rate

/// Reed, bore, register vent and tract in one loop; the sound is the rate of change of all the flow that
/// leaves (holes, vent and bell), as heard far away.
///
/// Reed: Reed above, its opening as much wider than the B♭'s as the instrument's reed and mouthpiece are.
/// Bore: a Bank per hole state. A change of holes starts a new bank from the bore's own pressure and flow
/// (Projection) and fades to it; every live bank hears the whole flow, and at each tick the stored energy is
/// kept from growing by a change of weights. Vent: one rank-one branch with a loss that grows with its flow,
///   ΔP = K ρ v², without which a slurred twelfth stays down (Szwarcberg et al., JASA 156, 2024, 726).
/// Tract: one resonance in series with the bore.
/// Around it: breath and key noise, and what the reed's flow has above the modes (noise.h).
/// Left out: the tongue's own mass, reed torsion. About 110 ns a sample
/// with one bank.
class Voice
{
public:
    /// Allocates nothing. `rate`: samples per second of the loop.
    void prepare(const Instrument&, double characteristic_impedance, double density, double rate,
                 std::uint64_t seed);
    void reset() noexcept;
    /// Jumps to a state in silence (start, or a rest): no fade.
    void start_state(const ModeTable&) noexcept;
    /// Fades to another state over `fade_s`, from the field the bore has now. `Project` gives the projection
    /// from a live table to the new one (cached by the caller).
    template <class Project> void change_state(const ModeTable& to, double fade_s, const Project& project);
    /// One tick: control_tick samples towards `next`. Output in units of radiated pressure before the gain.
    void process(const Control& next, std::span<double, control_tick> out) noexcept;

private:
    void set_coefficients(const Control&) noexcept;
    /// Room for a fresh bank, set to `to`; remembers the weights the fade starts from. Returns the energy of
    /// the rest.
    double add_bank(const ModeTable& to, double fade_s) noexcept;
    void step_weights() noexcept;
    struct Tick;
    struct Ready;
    Tick begin_tick(const Control& next) noexcept;
    Ready advance_bore(bool vented) noexcept;
    double blow(const Tick&, const Ready&) noexcept;
    double leak(const Tick&, double vent_pressure) noexcept;
    void end_fade() noexcept;

    static constexpr std::size_t most_banks = 8;
    std::array<Bank, most_banks> banks_;
    std::size_t live_ = 0;                ///< banks_[0 … live_) sound, newest last
    double fade_ = 1.0, fade_step_ = 1.0; ///< of the newest bank, 0…1, and per tick
    Reed reed_;
    Control now_;
    double rate_ = 48000.0, factor_cents_ = 1e9, window_ = 1.0;
    int lean_mode_ = -1;
    double lean_ = 1.0;
    double tongue_loss_ = 0.0;
    double flow_ = 0.0, force_ = 0.0, vent_flow_ = 0.0;
    /// A register vent as the loop sees it.
    struct Vent {
        std::size_t hole = 0;
        double mass = 1.0, linear = 0.0, square_per_pa = 0.0;
    };
    const Vent& vent_of(const ModeTable&) const noexcept;
    std::array<Vent, 4> vents_;
    Complex tract_y_{}, tract_a_{}, tract_c_{};
    double tract_self_ = 0.0, tract_hz_ = 0.0, tract_zc_ = 0.0;
    Dice breath_dice_, key_dice_;
    std::uint64_t seed_ = 0;
    BreathNoise breath_noise_;
    KeyNoise key_noise_;
    HighBand high_band_;
    bool ticked_ = false;                       ///< since the last start: before it nobody moved
    double high_share_ = 0.0, high_goal_ = 0.0; ///< of the flow above the modes that gets out
};

template <class Project> void Voice::change_state(const ModeTable& to, double fade_s, const Project& project)
{
    if (live_ == 0) {
        start_state(to);
        return;
    }
    if (banks_[live_ - 1].table == &to)
        return;
    key_noise_.strike(banks_[live_ - 1].table->state, to, now_.key_noise / now_.closing_pa, key_dice_);
    const double energy = add_bank(to, fade_s);
    Bank& fresh = banks_[live_ - 1];
    std::array<Complex, max_modes> z{};
    for (std::size_t i = 0; i + 1 < live_; ++i) {
        const Bank& old = banks_[i];
        if (old.weight < 1e-3)
            continue;
        const Projection& map = project(*old.table, to);
        for (std::size_t b = 0; b < map.rows; ++b)
            for (std::size_t a = 0; a < map.columns; ++a) {
                const Complex from = old.mode(a, flow_);
                z[b] += old.weight * (map.direct[b][a] * from + map.conjugate[b][a] * std::conj(from));
            }
    }
    for (std::size_t b = 0; b < to.count; ++b)
        if (fresh.inverse_c[b] > 0.0)
            fresh.set_mode(b, z[b], flow_);
    const double projected = fresh.energy(flow_);
    if (projected > energy && projected > 0.0)
        fresh.scale(std::sqrt(energy / projected), flow_);
}

} // namespace canebrake
