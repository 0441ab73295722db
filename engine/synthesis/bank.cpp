// SPDX-License-Identifier: MIT
#include "engine/synthesis/bank.h"

#include <cmath>

namespace canebrake
{

void Bank::set(const ModeTable& modes, double factor, double sample_rate, int lean_mode, double lean,
               double extra_loss)
{
    table = &modes;
    const double T = 1.0 / sample_rate;
    used = (modes.count + 3) / 4 * 4;
    double self_sum = 0.0, direct = 0.0, vent_direct = 0.0;
    for (std::size_t n = 0; n < max_modes; ++n) {
        // Modes over 0.45 of the sampling rate cannot be played.
        if (n >= modes.count || modes.pole[n].imag() * factor * T > 0.9 * 3.14159265358979) {
            ar[n] = ai[n] = cr[n] = ci[n] = dr[n] = di[n] = qr[n] = qi[n] = er[n] = ei[n] = 0.0;
            b0r[n] = b0i[n] = inverse_c[n] = 0.0;
            continue;
        }
        Complex s = factor * modes.pole[n];
        const Complex C = factor * modes.impedance[n];
        const Complex R = factor * modes.radiation[n];
        const Complex D = factor * modes.vent[n];
        const Complex q = 2.0 * s * R / C;
        if (int(n) == lean_mode)
            s = {s.real() * lean, s.imag()};
        s -= extra_loss;
        const Complex sT = s * T;
        const Complex a = std::exp(sT);
        const Complex now = C * (a - 1.0 - sT) / (s * sT);
        const Complex before = C * ((sT - 1.0) * a + 1.0) / (s * sT);
        const Complex c = a * now + before;
        const Complex d = D * (a - 1.0) / s;
        const Complex e = 2.0 * D / C;
        ar[n] = a.real(), ai[n] = a.imag();
        cr[n] = c.real(), ci[n] = c.imag();
        dr[n] = d.real(), di[n] = d.imag();
        qr[n] = q.real(), qi[n] = q.imag();
        er[n] = e.real(), ei[n] = e.imag();
        b0r[n] = now.real(), b0i[n] = now.imag();
        inverse_c[n] = 1.0 / std::abs(C);
        self_sum += 2.0 * now.real();
        direct += (q * now).real() + 2.0 * R.real();
        vent_direct -= 2.0 * (R * D / C).real();
    }
    inertance = modes.inertance / factor / T;
    self = self_sum + inertance;
    out_direct = direct;
    out_vent = vent_direct;
}

void Bank::silence()
{
    yr.fill(0.0);
    yi.fill(0.0);
}

void Bank::set_mode(std::size_t n, Complex z, double flow)
{
    yr[n] = z.real() - b0r[n] * flow;
    yi[n] = z.imag() - b0i[n] * flow;
}

double Bank::energy(double flow) const
{
    // p·u = dE/dt with E = |z|²/C for a lightly damped mode.
    double sum = 0.0;
    for (std::size_t n = 0; n < used; ++n)
        if (inverse_c[n] > 0.0)
            sum += std::norm(mode(n, flow)) * inverse_c[n];
    return sum;
}

void Bank::scale(double k, double flow)
{
    for (std::size_t n = 0; n < used; ++n)
        set_mode(n, k * mode(n, flow), flow);
}

Bank::Sums Bank::advance(double flow, double vent_flow, bool vented) noexcept
{
    return vented ? advance_all<true>(flow, vent_flow) : advance_all<false>(flow, 0.0);
}

template <bool vented> Bank::Sums Bank::advance_all(double flow, double vent_flow) noexcept
{
    std::array<double, 4> pressure{}, sound{}, vent{};
    for (std::size_t n = 0; n < used; n += 4)
        for (std::size_t l = 0; l < 4; ++l) {
            const std::size_t i = n + l;
            double r = ar[i] * yr[i] - ai[i] * yi[i] + cr[i] * flow;
            double m = ar[i] * yi[i] + ai[i] * yr[i] + ci[i] * flow;
            if constexpr (vented) {
                r -= dr[i] * vent_flow;
                m -= di[i] * vent_flow;
                vent[l] += er[i] * r - ei[i] * m;
            }
            yr[i] = r;
            yi[i] = m;
            pressure[l] += r;
            sound[l] += qr[i] * r - qi[i] * m;
        }
    const auto total = [](const std::array<double, 4>& v) { return (v[0] + v[1]) + (v[2] + v[3]); };
    return {2.0 * total(pressure) - inertance * flow, total(sound), total(vent)};
}

} // namespace canebrake
