// SPDX-License-Identifier: MIT
#include "models/modes/mode_finder.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace canebrake
{

namespace
{

constexpr double two_pi = 2.0 * std::numbers::pi;

/// Newton step of the admittance's zero, −Y/Y', with the listed poles divided out: they push the iterate
/// away.
Complex newton_step(const Resonator& bore, HoleState state, Complex s, std::span<const Complex> known,
                    std::size_t skip)
{
    const auto reed = bore.walk<Dual>(s, state).reed;
    Complex log_slope = reed.flow.d / reed.flow.v - reed.pressure.d / reed.pressure.v;
    for (std::size_t k = 0; k < known.size(); ++k)
        if (k != skip)
            log_slope -= 1.0 / (s - known[k]);
    return -1.0 / log_slope;
}

Complex limited(Complex step, double limit)
{
    const double size = std::abs(step);
    return size > limit ? step * (limit / size) : step;
}

bool plausible(Complex s, double fine, double top_hz)
{
    return s.imag() > two_pi * 40.0 * fine && s.imag() < two_pi * top_hz && s.real() < 0.0 &&
           s.real() > -0.6 * s.imag() - 2000.0;
}

bool same(Complex a, Complex b)
{
    return std::abs(a - b) < 1e-6 * std::abs(b);
}

/// Where the parabola through y(−1), y(0), y(1) is 0, the root nearest to 0; empty if that is far off.
std::optional<Complex> parabola_zero(Complex before, Complex at, Complex after)
{
    const Complex half_slope = 0.25 * (after - before), bend = 0.5 * (before + after) - at;
    const Complex root = std::sqrt(half_slope * half_slope - bend * at);
    // q/a and c/q: the smaller root is c/q with the larger q
    const Complex q =
        std::norm(half_slope + root) > std::norm(half_slope - root) ? half_slope + root : half_slope - root;
    const Complex zero = -at / q;
    if (!(std::norm(zero) < 9.0))
        return {};
    return zero;
}

} // namespace

/// One state's search.
class ModeFinder::Search
{
public:
    Search(ModeFinder& finder, HoleState state)
        : finder_(finder), bore_(finder.bore_), state_(state), fine_(finder.fine_)
    {
    }
    ModeTable run();

private:
    /// Both answers of a walk have the same poles, but a row of open holes that rings between itself hardly
    /// shows at the reed and loudly outside.
    struct Answers {
        Complex impedance, radiation;
    };
    using Answer = Complex Answers::*;
    static Answers answers(const Walk<Complex>& walk)
    {
        const Complex over = 1.0 / walk.reed.flow;
        return {walk.reed.pressure * over, walk.radiated * over};
    }
    void scan();
    void take_peaks();
    void complete(Answer);
    Answers explained(Complex s, std::size_t first_mode) const;
    std::optional<Complex> settle(Complex s, std::span<const Complex> known) const;
    std::optional<Complex> walk_to_error(std::size_t at, Answer) const;
    void keep(Complex pole);
    Complex line(std::size_t i) const { return finder_.line_[i].s; }

    ModeFinder& finder_;
    const Resonator& bore_;
    HoleState state_;
    double fine_;
    double top_hz_ = 0.0;
    std::vector<Answers> direct_; ///< along the line
    std::vector<Answers> left_;   ///< of every third, what the first `explained_` modes do not explain
    std::size_t explained_ = 0;
    std::vector<Complex> poles_;
    std::vector<Mode> modes_; ///< at poles_
};

/// Along a line a little left of the axis, where broad peaks stand out better; as far as the modes asked for
/// and a few more, so that the last one kept is not the last one seen.
void ModeFinder::Search::scan()
{
    const auto& search = finder_.search_;
    const auto steps = std::size_t(search.top_hz / (search.step_hz * fine_));
    const std::size_t enough = search.count + 6;
    std::size_t peaks = 0;
    double before = 0.0, last = 0.0;
    for (std::size_t i = 0; i <= steps && peaks < enough; ++i) {
        direct_.push_back(answers(bore_.walk(finder_.on_line(i), state_)));
        const double height = std::norm(direct_.back().impedance);
        peaks += i > 1 && last > before && last >= height;
        before = last;
        last = height;
    }
    top_hz_ = std::min(search.top_hz, line(direct_.size() - 1).imag() / two_pi) + 400.0 * fine_;
}

/// Follows Newton from `s`; empty if it leaves the band, does not settle, or lands on a known pole.
std::optional<Complex> ModeFinder::Search::settle(Complex s, std::span<const Complex> known) const
{
    double last = 0.0; // size of the step before, 0 where it was cut
    for (int i = 0; i < 25; ++i) {
        const Complex whole = newton_step(bore_, state_, s, known, known.size());
        const Complex step = limited(whole, two_pi * 120.0 * fine_);
        s += step;
        if (s.imag() < two_pi * 30.0 * fine_)
            return {};
        // Newton squares its error: of two steps the next can be told, and need not be taken.
        const double size = std::abs(step);
        const double next = last > 0.0 ? size * size / last * (size / last) : size;
        last = step == whole ? size : 0.0;
        if (size < 1e-9 * std::abs(s) || 100.0 * next < 1e-13 * std::abs(s)) {
            if (!plausible(s, fine_, top_hz_) ||
                std::any_of(known.begin(), known.end(), [&](Complex other) { return same(other, s); }))
                return {};
            return s;
        }
    }
    return {};
}

void ModeFinder::Search::keep(Complex pole)
{
    poles_.push_back(pole);
    modes_.push_back(mode_at(bore_, state_, pole));
}

void ModeFinder::Search::take_peaks()
{
    const auto height = [&](std::size_t i) { return std::norm(direct_[i].impedance); };
    for (std::size_t i = 1; i + 1 < direct_.size(); ++i) {
        if (!(height(i) > height(i - 1) && height(i) >= height(i + 1)))
            continue;
        const auto admittance = [&](std::size_t k) { return 1.0 / direct_[k].impedance; };
        const auto zero = parabola_zero(admittance(i - 1), admittance(i), admittance(i + 1));
        const Complex start =
            zero ? line(i) + *zero * (line(i + 1) - line(i)) : line(i) - Complex{100.0 * fine_, 0.0};
        if (const auto s = settle(start, poles_))
            keep(*s);
    }
}

/// What the modes from `first_mode` on make of both answers.
ModeFinder::Search::Answers ModeFinder::Search::explained(Complex s, std::size_t first_mode) const
{
    Answers sum{};
    for (std::size_t n = first_mode; n < modes_.size(); ++n) {
        const Complex up = 1.0 / (s - modes_[n].pole), down = 1.0 / (s - std::conj(modes_[n].pole));
        sum.impedance += modes_[n].impedance * up + std::conj(modes_[n].impedance) * down;
        sum.radiation += modes_[n].radiation * up + std::conj(modes_[n].radiation) * down;
    }
    return sum;
}

/// Near a missed pole the unexplained answer e = direct − table goes as C/(s − s₀), so the secant method on
/// 1/e walks there from wherever e peaks along the line, and plain Newton polishes.
std::optional<Complex> ModeFinder::Search::walk_to_error(std::size_t at, Answer answer) const
{
    const auto over_error = [&](Complex s) {
        return 1.0 / (answers(bore_.walk<Complex>(s, state_)).*answer - explained(s, 0).*answer);
    };
    Complex s0 = line(3 * at), s1 = s0 - Complex{150.0 * fine_, 0.0};
    Complex y0 = 1.0 / (left_[at].*answer), y1 = over_error(s1);
    for (int k = 0; k < 8 && std::abs(s1 - s0) > 1e-4 * std::abs(s1) && y1 != y0; ++k) {
        const Complex step = limited(-y1 * (s1 - s0) / (y1 - y0), two_pi * 200.0 * fine_);
        s0 = s1;
        y0 = y1;
        s1 += step;
        y1 = over_error(s1);
    }
    return settle(s1, {});
}

/// Adds poles without a peak of their own (holes that ring between each other, the bell) and halves of close
/// pairs.
void ModeFinder::Search::complete(Answer answer)
{
    for (int look = 0; look < 4; ++look) {
        for (std::size_t i = 0; i < left_.size(); ++i) {
            const Answers more = explained(line(3 * i), explained_);
            left_[i].impedance -= more.impedance;
            left_[i].radiation -= more.radiation;
        }
        explained_ = modes_.size();
        std::vector<double> error;
        for (const Answers& rest : left_)
            error.push_back(std::abs(rest.*answer));
        std::vector<Complex> found;
        for (std::size_t i = 1; i + 1 < error.size(); ++i) {
            if (error[i] < error[i - 1] || error[i] < error[i + 1] || error[i] < 0.02)
                continue;
            const auto s = walk_to_error(i, answer);
            const auto is_it = [&](Complex other) { return same(other, *s); };
            if (s && std::none_of(poles_.begin(), poles_.end(), is_it) &&
                std::none_of(found.begin(), found.end(), is_it))
                found.push_back(*s);
        }
        if (found.empty())
            return;
        for (const Complex pole : found)
            keep(pole);
    }
}

ModeTable ModeFinder::Search::run()
{
    scan();
    take_peaks();
    for (std::size_t i = 0; 3 * i + 2 < direct_.size(); ++i)
        left_.push_back(direct_[3 * i]);
    complete(&Answers::impedance);
    complete(&Answers::radiation);
    std::sort(modes_.begin(), modes_.end(),
              [](const Mode& a, const Mode& b) { return a.pole.imag() < b.pole.imag(); });
    if (modes_.size() > finder_.search_.count)
        modes_.resize(finder_.search_.count);
    ModeTable table = table_of(bore_, state_, modes_);
    table.inertance = fitted_inertance(
        table, [&](std::size_t i) { return answers(bore_.walk(finder_.on_axis(i), state_)).impedance; });
    return table;
}

ModeFinder::ModeFinder(Resonator bore, const ModeSearch& search)
    : bore_(std::move(bore)), search_(search), fine_(search_fineness(bore_))
{
    search_.count = std::min(search_.count, max_modes);
}

const BoreAt& ModeFinder::on_line(std::size_t i)
{
    while (line_.size() <= i)
        line_.push_back(
            bore_.at({-60.0 * fine_, two_pi * fine_ * (60.0 + search_.step_hz * double(line_.size()))}));
    return line_[i];
}

const BoreAt& ModeFinder::on_axis(std::size_t i)
{
    while (axis_.size() <= i)
        axis_.push_back(bore_.at({0.0, two_pi * inertance_hz(axis_.size())}));
    return axis_[i];
}

ModeTable ModeFinder::find(HoleState state)
{
    return Search(*this, state).run();
}

ModeTable find_modes(const Resonator& bore, HoleState state, const ModeSearch& search)
{
    return ModeFinder(bore, search).find(state);
}

ModeTable find_modes_near(const Resonator& bore, HoleState state, const ModeTable& neighbour)
{
    std::vector<Complex> poles(neighbour.pole.begin(),
                               neighbour.pole.begin() + std::ptrdiff_t(neighbour.count));
    const double fine = search_fineness(bore);
    std::vector<bool> done(poles.size(), false);
    bool all = false;
    for (int round = 0; round < 14 && !all; ++round) {
        all = true;
        for (std::size_t n = 0; n < poles.size(); ++n) {
            if (done[n])
                continue;
            const Complex step = limited(newton_step(bore, state, poles[n], poles, n), two_pi * 150.0 * fine);
            poles[n] += step;
            done[n] = std::abs(step) < 1e-9 * std::abs(poles[n]);
            all = all && done[n];
        }
    }
    if (all) {
        std::erase_if(poles, [&](Complex s) { return !plausible(s, fine, 12000.0); });
        std::sort(poles.begin(), poles.end(), [](Complex a, Complex b) { return a.imag() < b.imag(); });
        auto table = table_from_poles(bore, state, poles, 0.0);
        table.inertance =
            fitted_inertance(table, [&](std::size_t i) { return bore.impedance(inertance_hz(i), state); });
        if (table.count + 2 >= neighbour.count && table_error(bore, table, 3500.0, 24) < 0.5)
            return table;
    }
    return find_modes(bore, state, {.count = neighbour.count});
}

} // namespace canebrake
