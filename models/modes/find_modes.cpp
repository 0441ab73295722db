// SPDX-License-Identifier: MIT
#include "models/modes/mode_table.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace canebrake
{

namespace
{

constexpr double two_pi = 2.0 * std::numbers::pi;
constexpr double soprano_length_m = 0.70; // the search's own distances are for bores up to this

/// The search's distances along the frequency axis, over those for a soprano: 1, less for longer bores.
double fineness(const Resonator& bore)
{
    return std::min(1.0, soprano_length_m / bore.geometry().length_m());
}

/// Newton step of the admittance's zero, −Y/Y', with the listed poles divided out: they push the iterate
/// away.
Complex newton_step(const Resonator& bore, HoleState state, Complex s, const std::vector<Complex>& known,
                    std::size_t skip)
{
    const auto reed = bore.walk<Dual>(s, state).reed;
    const Dual admittance = reed.flow / reed.pressure;
    Complex log_slope = admittance.d / admittance.v;
    for (std::size_t k = 0; k < known.size(); ++k)
        if (k != skip)
            log_slope -= 1.0 / (s - known[k]);
    return -1.0 / log_slope;
}

bool plausible(Complex s, double fine, double top_hz)
{
    return s.imag() > two_pi * 40.0 * fine && s.imag() < two_pi * top_hz && s.real() < 0.0 &&
           s.real() > -0.6 * s.imag() - 2000.0;
}

/// Follows Newton from `s`; empty if it leaves the band, does not settle, or lands on a known pole.
std::optional<Complex> settle(const Resonator& bore, HoleState state, Complex s,
                              const std::vector<Complex>& known, double top_hz)
{
    const double fine = fineness(bore);
    for (int i = 0; i < 25; ++i) {
        Complex step = newton_step(bore, state, s, known, known.size());
        const double limit = two_pi * 120.0 * fine;
        if (std::abs(step) > limit)
            step *= limit / std::abs(step);
        s += step;
        if (s.imag() < two_pi * 30.0 * fine)
            return {};
        if (std::abs(step) < 1e-9 * std::abs(s)) {
            if (!plausible(s, fine, top_hz))
                return {};
            for (const Complex& other : known)
                if (std::abs(other - s) < 1e-6 * std::abs(s))
                    return {};
            return s;
        }
    }
    return {};
}

/// What a walk is asked for: both answers have the same poles, but a row of open holes that rings between
/// themselves hardly shows at the reed and loudly outside.
enum class Answer { impedance, radiation };

template <class T> T answer_of(const Walk<T>& walk, Answer answer)
{
    return answer == Answer::impedance ? walk.reed.pressure : walk.radiated;
}

/// One answer rebuilt from a set of poles alone: what `complete` compares with.
struct Residues {
    std::vector<Complex> pole, residue;
    Residues(const Resonator& bore, HoleState state, const std::vector<Complex>& poles, Answer answer)
        : pole(poles)
    {
        for (const Complex s : poles) {
            const auto walk = bore.walk<Dual>(s, state);
            residue.push_back(answer_of(walk, answer).v / walk.reed.flow.d);
        }
    }
    Complex at(Complex s) const
    {
        Complex sum{};
        for (std::size_t n = 0; n < pole.size(); ++n)
            sum += residue[n] / (s - pole[n]) + std::conj(residue[n]) / (s - std::conj(pole[n]));
        return sum;
    }
};

/// Adds poles without a peak of their own (holes that ring between each other, the bell) and halves of close
/// pairs: near a missed pole the unexplained answer e = direct − table goes as C/(s − s₀), so the secant
/// method on 1/e walks there from wherever e peaks along the line, and plain Newton polishes.
template <class LinePoint>
void complete(const Resonator& bore, HoleState state, std::vector<Complex>& poles, const LinePoint& on_line,
              const std::vector<Complex>& direct, double top_hz, Answer answer)
{
    const double fine = fineness(bore);
    for (int look = 0; look < 4; ++look) {
        const std::size_t before = poles.size();
        const Residues table(bore, state, poles, answer);
        const auto unexplained = [&](Complex s) {
            const auto walk = bore.walk<Complex>(s, state);
            return answer_of(walk, answer) / walk.reed.flow - table.at(s);
        };
        std::vector<double> error(direct.size() / 3, 0.0);
        for (std::size_t i = 0; i < error.size(); ++i)
            error[i] = std::abs(direct[3 * i] - table.at(on_line(3 * i)));
        for (std::size_t i = 1; i + 1 < error.size(); ++i) {
            if (error[i] < error[i - 1] || error[i] < error[i + 1] || error[i] < 0.02)
                continue;
            Complex s0 = on_line(3 * i), s1 = s0 - Complex{150.0 * fine, 0.0};
            Complex y0 = 1.0 / unexplained(s0), y1 = 1.0 / unexplained(s1);
            for (int k = 0; k < 8 && std::abs(s1 - s0) > 1e-4 * std::abs(s1) && y1 != y0; ++k) {
                Complex step = -y1 * (s1 - s0) / (y1 - y0);
                const double limit = two_pi * 200.0 * fine;
                if (std::abs(step) > limit)
                    step *= limit / std::abs(step);
                s0 = s1;
                y0 = y1;
                s1 += step;
                y1 = 1.0 / unexplained(s1);
            }
            if (const auto s = settle(bore, state, s1, {}, top_hz)) {
                const auto same = [&](Complex other) { return std::abs(other - *s) < 1e-6 * std::abs(*s); };
                if (std::none_of(poles.begin(), poles.end(), same))
                    poles.push_back(*s);
            }
        }
        if (poles.size() == before)
            return;
    }
}

/// Residues and shapes at finished poles, and m₀ from what is left of the direct impedance up to 3.5 kHz.
ModeTable make_table(const Resonator& bore, HoleState state, std::vector<Complex> poles, std::size_t count)
{
    std::sort(poles.begin(), poles.end(), [](Complex a, Complex b) { return a.imag() < b.imag(); });
    if (poles.size() > count)
        poles.resize(count);
    const std::size_t holes = bore.geometry().holes.size();
    ModeTable table;
    table.state = state;
    table.count = poles.size();
    table.shapes.resize(table.count * holes);
    for (std::size_t n = 0; n < table.count; ++n) {
        const Complex s = poles[n];
        const auto end = bore.walk<Dual>(s, state);
        const Complex slope = end.reed.flow.d;
        table.pole[n] = s;
        table.impedance[n] = end.reed.pressure.v / slope;
        table.radiation[n] = end.radiated.v / slope;
        table.vent[n] = end.vent_pressure.v / slope;
        bore.walk_with_holes(s, state, std::span(table.shapes).subspan(n * holes, holes));
    }
    double numerator = 0.0, denominator = 0.0;
    for (int i = 1; i <= 24; ++i) {
        const double omega = two_pi * 145.0 * i;
        const Complex rest = bore.impedance(omega / two_pi, state) - table.impedance_at({0.0, omega});
        numerator += omega * rest.imag();
        denominator += omega * omega;
    }
    table.inertance = std::max(0.0, numerator / denominator);
    return table;
}

} // namespace

Complex ModeTable::impedance_at(Complex s) const
{
    Complex sum = inertance * s;
    for (std::size_t n = 0; n < count; ++n)
        sum += impedance[n] / (s - pole[n]) + std::conj(impedance[n]) / (s - std::conj(pole[n]));
    return sum;
}

Complex ModeTable::radiation_at(Complex s) const
{
    Complex sum{};
    for (std::size_t n = 0; n < count; ++n)
        sum += radiation[n] / (s - pole[n]) + std::conj(radiation[n]) / (s - std::conj(pole[n]));
    return sum;
}

double ModeTable::mode_frequency(std::size_t n) const
{
    return pole[n].imag() / two_pi;
}

double table_error(const Resonator& bore, const ModeTable& table, double top_hz, int points)
{
    double worst = 0.0;
    for (int i = 0; i < points; ++i) {
        const double low_hz = 100.0 * fineness(bore);
        const double hz = low_hz + (top_hz - low_hz) * i / std::max(1, points - 1);
        worst = std::max(worst,
                         std::abs(bore.impedance(hz, table.state) - table.impedance_at({0.0, two_pi * hz})));
    }
    return worst;
}

ModeTable find_modes(const Resonator& bore, HoleState state, const ModeSearch& search)
{
    // Peaks of |Z| along a line a little left of the axis, where broad peaks stand out better; as far as the
    // modes asked for and a few more, so that the last one kept is not the last one seen.
    const double fine = fineness(bore);
    const auto on_line = [&](std::size_t i) {
        return Complex{-60.0 * fine, two_pi * fine * (60.0 + search.step_hz * double(i))};
    };
    const auto steps = std::size_t(search.top_hz / (search.step_hz * fine));
    const std::size_t enough = std::min(search.count, max_modes) + 6;
    std::vector<Complex> height_at, sound_at;
    std::vector<double> height;
    std::size_t peaks = 0;
    for (std::size_t i = 0; i <= steps && peaks < enough; ++i) {
        const auto walk = bore.walk<Complex>(on_line(i), state);
        height_at.push_back(walk.reed.pressure / walk.reed.flow);
        sound_at.push_back(walk.radiated / walk.reed.flow);
        height.push_back(std::abs(height_at.back()));
        peaks += i > 1 && height[i - 1] > height[i - 2] && height[i - 1] >= height[i];
    }
    const double seen_hz = on_line(height.size() - 1).imag() / two_pi;
    const double top_hz = std::min(search.top_hz, seen_hz) + 400.0 * fine;
    std::vector<Complex> poles;
    const auto try_from = [&](Complex start) {
        if (const auto s = settle(bore, state, start, poles, top_hz))
            poles.push_back(*s);
    };
    for (std::size_t i = 1; i + 1 < height.size(); ++i)
        if (height[i] > height[i - 1] && height[i] >= height[i + 1])
            try_from(on_line(i) - Complex{100.0, 0.0});
    complete(bore, state, poles, on_line, height_at, top_hz, Answer::impedance);
    complete(bore, state, poles, on_line, sound_at, top_hz, Answer::radiation);
    return make_table(bore, state, std::move(poles), std::min(search.count, max_modes));
}

ModeTable find_modes_near(const Resonator& bore, HoleState state, const ModeTable& neighbour)
{
    std::vector<Complex> poles(neighbour.pole.begin(),
                               neighbour.pole.begin() + std::ptrdiff_t(neighbour.count));
    std::vector<bool> done(poles.size(), false);
    bool all = false;
    for (int round = 0; round < 14 && !all; ++round) {
        all = true;
        for (std::size_t n = 0; n < poles.size(); ++n) {
            if (done[n])
                continue;
            Complex step = newton_step(bore, state, poles[n], poles, n);
            const double limit = two_pi * 150.0 * fineness(bore);
            if (std::abs(step) > limit)
                step *= limit / std::abs(step);
            poles[n] += step;
            done[n] = std::abs(step) < 1e-9 * std::abs(poles[n]);
            all = all && done[n];
        }
    }
    if (all) {
        std::erase_if(poles, [&](Complex s) { return !plausible(s, fineness(bore), 12000.0); });
        auto table = make_table(bore, state, poles, neighbour.count);
        if (table.count + 2 >= neighbour.count && table_error(bore, table, 3500.0, 24) < 0.5)
            return table;
    }
    return find_modes(bore, state, {.count = neighbour.count});
}

} // namespace canebrake
