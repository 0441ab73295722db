// SPDX-License-Identifier: MIT
// The loop itself: nothing allocated while it runs, and no energy out of nothing.
#include "engine/synthesis/state_tables.h"
#include "engine/synthesis/voice.h"

#include <catch2/catch.hpp>

#include <array>
#include <atomic>
#include <cstdlib>
#include <memory>
#include <new>
#include <random>

namespace
{
std::atomic<std::size_t> allocations{0};
}

// This program counts what it allocates.
void* operator new(std::size_t size)
{
    ++allocations;
    if (void* p = std::malloc(size ? size : 1))
        return p;
    throw std::bad_alloc{};
}
void* operator new[](std::size_t size)
{
    return operator new(size);
}
void* operator new(std::size_t size, const std::nothrow_t&) noexcept
{
    ++allocations;
    return std::malloc(size ? size : 1);
}
void* operator new[](std::size_t size, const std::nothrow_t& quiet) noexcept
{
    return operator new(size, quiet);
}
void operator delete(void* p) noexcept
{
    std::free(p);
}
void operator delete(void* p, std::size_t) noexcept
{
    std::free(p);
}
void operator delete[](void* p) noexcept
{
    std::free(p);
}
void operator delete[](void* p, std::size_t) noexcept
{
    std::free(p);
}

using namespace canebrake;

namespace
{

constexpr double voice_rate = 48000.0;

struct Bench {
    const Instrument& instrument = b_flat_soprano();
    StateTables tables{instrument};
    Voice voice;
    std::vector<const ModeTable*> states;
    std::vector<double> vents;

    explicit Bench(std::initializer_list<int> written)
    {
        for (const int n : written) {
            const Fingering& fingering = *instrument.primary({n});
            states.push_back(&tables.table(fingering.holes));
            vents.push_back(fingering.vent);
        }
        for (const auto* from : states)
            for (const auto* to : states)
                tables.projection(*from, *to); // also onto itself: a finger may come back before it was gone
        voice.prepare(instrument, tables.bore().characteristic_impedance(), tables.bore().air().density_kgpm3,
                      voice_rate, 1);
    }
    void change(const ModeTable& to, double fade_s)
    {
        voice.change_state(to, fade_s, [this](const ModeTable& a, const ModeTable& b) -> const Projection& {
            return tables.projection(a, b);
        });
    }
    /// Blown and let speak for half a second.
    void play(std::size_t state, double gamma, double zeta)
    {
        Control c = blown(gamma, zeta);
        c.vent = vents[state];
        voice.start_state(*states[state]);
        run(c, 0.5);
    }
    static Control blown(double gamma, double zeta)
    {
        Control c;
        c.gamma = gamma;
        c.zeta = zeta;
        c.tongue = 0.0;
        return c;
    }
    /// Root mean square and peak of that much time.
    struct Heard {
        double rms, peak;
    };
    Heard run(const Control& control, double seconds)
    {
        std::array<double, control_tick> out;
        double power = 0.0, peak = 0.0;
        const auto ticks = std::size_t(seconds * voice_rate / double(control_tick));
        for (std::size_t i = 0; i < ticks; ++i) {
            voice.process(control, out);
            for (const double x : out) {
                power += x * x;
                peak = std::max(peak, std::abs(x));
            }
        }
        return {std::sqrt(power / double(ticks * control_tick)), peak};
    }
};

} // namespace

TEST_CASE("a voice allocates nothing while it sounds and changes state", "[voice]")
{
    Bench bench{52, 60, 69, 71, 84};
    bench.play(1, 0.6, 0.3);
    std::array<double, control_tick> out;
    Control c = Bench::blown(0.6, 0.3);
    const std::size_t before = allocations;
    for (int i = 0; i < 2000; ++i) {
        if (i % 10 == 0)
            bench.change(*bench.states[std::size_t(i / 10) % bench.states.size()], 0.012);
        c.vent = i % 200 < 100 ? 1.0 : 0.0;
        c.cents = double(i % 50);
        c.tract_hz = i % 300 < 150 ? 500.0 : 0.0;
        c.tract_zc = 5.0;
        c.lean_mode = i % 2;
        c.lean = 3.0;
        c.breath_noise = 0.004;
        bench.voice.process(c, out);
    }
    const std::size_t after = allocations;
    CHECK(after == before);
    const auto one = std::make_unique<double>(1.0);
    CHECK(allocations > after); // the counter counts
}

TEST_CASE("a voice that nobody blows is silent from the start", "[voice]")
{
    Bench bench{52, 71};
    bench.voice.start_state(*bench.states[0]);
    CHECK(bench.run(Bench::blown(0.0, 0.3), 0.1).peak == 0.0);
    bench.change(*bench.states[1], 0.012);
    CHECK(bench.run(Bench::blown(0.0, 0.3), 0.1).peak == 0.0);
}

TEST_CASE("once the breath is gone no change of fingers makes a note louder, and it dies", "[voice]")
{
    // Passive air: holes that open or shut give nothing to it. What is heard is the part that leaves, and the
    // same air is heard better through open holes; so each change is held against the loudest blown note of
    // these states, and the run as a whole must fall.
    Bench bench{52, 57, 60, 64, 67, 69, 70, 71, 76, 84};
    std::mt19937 random(20);
    double loudest = 0.0;
    for (std::size_t i = 0; i < bench.states.size(); ++i) {
        bench.voice.reset();
        bench.play(i, 0.6, 0.3);
        Control c = Bench::blown(0.6, 0.3);
        c.vent = bench.vents[i];
        loudest = std::max(loudest, bench.run(c, 0.1).peak);
    }
    for (int trial = 0; trial < 24; ++trial) {
        bench.voice.reset();
        const std::size_t first = random() % bench.states.size();
        bench.play(first, 0.6, 0.3);
        Control c = Bench::blown(0.6, 0.3);
        c.vent = bench.vents[first];
        const auto blown = bench.run(c, 0.1);
        Control still = c;
        still.gamma = 0.0;
        still.tongue = trial % 2; // reed open, or held shut by the tongue
        bench.run(still, 0.005);  // the breath stops
        double last = blown.rms;
        for (int step = 0; step < 8; ++step) {
            double power = 0.0;
            for (int change = 0; change < 5; ++change) {
                const std::size_t to = random() % bench.states.size();
                bench.change(*bench.states[to], 0.002 + 0.0001 * double(random() % 150));
                still.vent = bench.vents[to];
                const auto heard = bench.run(still, 0.004 + 0.0001 * double(random() % 160));
                CAPTURE(trial, step, change, loudest, heard.peak);
                CHECK(heard.peak <= loudest);
                power += heard.rms * heard.rms;
            }
            const double rms = std::sqrt(power / 5.0);
            CAPTURE(trial, step, blown.rms, last, rms);
            CHECK(rms <= last);
            last = rms;
        }
        CHECK(bench.run(still, 1.0).peak < 0.1 * blown.peak);
        CHECK(bench.run(still, 0.5).peak < 1e-4 * blown.peak);
    }
}
