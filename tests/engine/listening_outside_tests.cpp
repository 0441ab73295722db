// SPDX-License-Identifier: MIT
// What independent tools hear in the same sounds, tones made of known sines and rendered notes:
//   aubio 0.4.9 (P. Brossier, https://aubio.org): pitch and onset
//   FFTW 3.3.10 (M. Frigo and S. G. Johnson, https://fftw.org): spectrum
// as Debian 12 has them. loudness_tests.cpp asks libebur128.
#include "tests/engine/heard_notes.h"
#include "tests/engine/known_sines.h"

#include <aubio/aubio.h>
#include <catch2/catch.hpp>
#include <fftw3.h>

using namespace canebrake;

namespace
{
constexpr SampleRate rate{output_rate};

/// Median of what aubio hears from 40 % of the sound on, Hz; its method by the name it has there.
double aubio_pitch_hz(std::span<const float> audio, const char* method)
{
    constexpr uint_t window = 4096, hop = 512;
    aubio_pitch_t* pitch = new_aubio_pitch(method, window, hop, uint_t(rate.value));
    REQUIRE(pitch);
    aubio_pitch_set_unit(pitch, "Hz");
    fvec_t *in = new_fvec(hop), *out = new_fvec(1);
    std::vector<double> heard;
    for (std::size_t at = 0; at + hop <= audio.size(); at += hop) {
        std::copy_n(audio.begin() + std::ptrdiff_t(at), hop, in->data);
        aubio_pitch_do(pitch, in, out);
        if (double(at) > 0.4 * double(audio.size()))
            heard.push_back(double(out->data[0]));
    }
    del_aubio_pitch(pitch);
    del_fvec(in);
    del_fvec(out);
    REQUIRE(heard.size() > 20);
    return median(heard);
}

/// First onset aubio hears (method "hfc"), seconds; negative: none.
double aubio_onset_s(std::span<const float> audio)
{
    constexpr uint_t window = 512, hop = 64;
    aubio_onset_t* onset = new_aubio_onset("hfc", window, hop, uint_t(rate.value));
    REQUIRE(onset);
    fvec_t *in = new_fvec(hop), *out = new_fvec(1);
    double first = -1.0;
    for (std::size_t at = 0; at + hop <= audio.size() && first < 0.0; at += hop) {
        std::copy_n(audio.begin() + std::ptrdiff_t(at), hop, in->data);
        aubio_onset_do(onset, in, out);
        if (out->data[0] > 0.0F)
            first = double(aubio_onset_get_last_s(onset));
    }
    del_aubio_onset(onset);
    del_fvec(in);
    del_fvec(out);
    return first;
}

/// Power spectrum by FFTW under a window of cosine terms, one bin a 1/(4·duration).
struct PowerSpectrum {
    std::vector<double> power;
    double bin_hz = 0.0, window_sum = 0.0, duration_s = 0.0;

    PowerSpectrum(std::span<const float> audio, const std::vector<double>& terms)
    {
        const std::size_t size = 4 * audio.size();
        double* in = fftw_alloc_real(size);
        fftw_complex* out = fftw_alloc_complex(size / 2 + 1);
        fftw_plan plan = fftw_plan_dft_r2c_1d(int(size), in, out, FFTW_ESTIMATE);
        std::fill_n(in, size, 0.0);
        for (std::size_t n = 0; n < audio.size(); ++n) {
            double w = 0.0;
            for (std::size_t i = 0; i < terms.size(); ++i)
                w += terms[i] *
                     std::cos(2.0 * std::numbers::pi * double(i) * (double(n) + 0.5) / double(audio.size()));
            in[n] = w * double(audio[n]);
            window_sum += w;
        }
        fftw_execute(plan);
        for (std::size_t i = 0; i <= size / 2; ++i)
            power.push_back(out[i][0] * out[i][0] + out[i][1] * out[i][1]);
        fftw_destroy_plan(plan);
        fftw_free(in);
        fftw_free(out);
        bin_hz = rate.value / double(size);
        duration_s = double(audio.size()) / rate.value;
    }
};
/// Flat-top HFT95 and Nuttall's window with side lobes under -93 dB (G. Heinzel, A. Rüdiger and R. Schilling,
/// "Spectrum and spectral density estimation by the discrete Fourier transform", 2002).
const std::vector<double> flat_top{1.0, -1.9383379, 1.3045202, -0.4028270, 0.0350665};
const std::vector<double> nuttall{0.355768, -0.487396, 0.144232, -0.012604};

/// Amplitude of the line near `hz` re full scale, dB: a flat top reads it right wherever between two bins.
double line_db(const PowerSpectrum& spectrum, double hz)
{
    const auto middle = std::size_t(hz / spectrum.bin_hz);
    double highest = 0.0;
    for (std::size_t i = middle - 6; i <= middle + 6; ++i)
        highest = std::max(highest, spectrum.power[i]);
    return 10.0 * std::log10(4.0 * highest / (spectrum.window_sum * spectrum.window_sum));
}

/// Energy further than the main lobe from each multiple of `f`, filled up for the gaps, over the rest; to 16
/// kHz.
double between_lines_db(const PowerSpectrum& spectrum, double f)
{
    double between = 0.0, counted = 0.0, all = 0.0, bins = 0.0;
    for (std::size_t i = 0; double(i) * spectrum.bin_hz < 16000.0; ++i) {
        const double hz = double(i) * spectrum.bin_hz;
        const bool clear = std::abs(hz - f * std::round(hz / f)) > 5.0 / spectrum.duration_s;
        between += clear ? spectrum.power[i] : 0.0;
        counted += clear ? 1.0 : 0.0;
        all += spectrum.power[i];
        bins += 1.0;
    }
    const double noise = between * bins / counted;
    return 10.0 * std::log10(noise / (all - noise));
}

} // namespace

TEST_CASE("aubio hears the same pitch to a cent", "[listening][outside]")
{
    // Method yin (A. de Cheveigné and H. Kawahara, JASA 111, 2002), which reads a period from the samples:
    // off by more the fewer there are. It reads a throat note's third harmonic, 15 dB up, as the pitch: there
    // yinfft (P. Brossier, "Automatic annotation of musical audio for interactive applications", 2006).
    double worst = 0.0, worst_known = 0.0;
    for (const auto& h : rendered_notes()) {
        const double theirs = aubio_pitch_hz(h.note, "yin"), ours = h.ours.note.settled_hz;
        INFO(h.name << ": ours " << ours << " Hz, aubio " << theirs << " Hz");
        CHECK(std::abs(cents(ours, theirs)) < 0.5);
        CHECK(cents(h.ours.tone.fundamental_hz, theirs) == Approx(0.0).margin(0.5));
        worst = std::max(worst, std::abs(cents(ours, theirs)));
    }
    for (const double f : {146.8, 196.5, 262.4, 349.2, 471.0, 660.0, 931.0, 1320.0, 1864.7}) {
        const auto audio = tone(1.0, still(f), shape_at(f));
        const double theirs = aubio_pitch_hz(audio, &shape_at(f) == &throat ? "yinfft" : "yin");
        const double ours = measure_tone(audio, rate, f).note.settled_hz;
        INFO(f << " Hz: ours " << ours << " Hz, aubio " << theirs << " Hz");
        CHECK(std::abs(cents(ours, theirs)) < 1.0);
        CHECK(std::abs(cents(ours, f)) < std::abs(cents(theirs, f)) + 0.01); // and ours is no further off
        worst_known = std::max(worst_known, std::abs(cents(ours, theirs)));
    }
    WARN("worst: rendered " << worst << " cents, known sines " << worst_known << " cents");
}

TEST_CASE("aubio hears a note begin when it speaks, or before it", "[listening][outside]")
{
    // An onset is when something begins, and speaking when the note stands at its pitch and level. So they
    // are one for a hard attack, and a note that goes through a lower register first speaks later than it
    // begins.
    const double lead_s = 0.2;
    double worst_hard = 0.0, latest = 0.0;
    for (const double f : {146.8, 196.5, 349.2, 660.0, 1320.0, 1864.7})
        for (const double attack_s : {1e-4, 0.005}) {
            const auto rise = [=](double t) { return std::clamp((t - lead_s) / attack_s, 0.0, 1.0); };
            const auto audio = tone(1.0, still(f), shape_at(f), rise, -80.0);
            const double ours = measure_tone(audio, rate, f).note.speaking_s, theirs = aubio_onset_s(audio);
            INFO(f << " Hz, " << attack_s << " s: ours " << ours << " s, aubio " << theirs << " s");
            CHECK(ours == Approx(theirs).margin(0.005));
            worst_hard = std::max(worst_hard, std::abs(ours - theirs));
        }
    for (const auto& h : rendered_notes()) {
        Audio led(std::size_t(lead_s * rate.value), 0.0F);
        led.insert(led.end(), h.note.begin(), h.note.end());
        const double theirs = aubio_onset_s(led) - lead_s, ours = h.ours.note.speaking_s;
        INFO(h.name << ": ours " << ours << " s, aubio " << theirs << " s");
        CHECK(theirs > 0.0);
        CHECK(ours > theirs - 0.005);
        if (h.written <= 69) { // no register below
            CHECK(ours < theirs + 0.020);
            latest = std::max(latest, ours - theirs);
        }
    }
    WARN("hard attacks within " << worst_hard * 1e3 << " ms; rendered to A4 at most " << latest * 1e3
                                << " ms after the onset");
}

TEST_CASE("FFTW's spectrum has the same harmonics and the same noise between them", "[listening][outside]")
{
    double worst = 0.0, worst_noise = 0.0;
    const auto compare = [&](const std::string& name, std::span<const float> settled, const Tone& ours) {
        INFO(name);
        REQUIRE(ours.fundamental_hz > 0.0);
        const PowerSpectrum lines(settled, flat_top), quiet(settled, nuttall);
        for (std::size_t k = 1; k <= tone_harmonics; ++k)
            // Under -70 dB breath is heard beside the line, and the wider window lets more of it in.
            if (const auto level = ours.harmonic_db[k - 1]; level && *level > -70.0) {
                INFO("harmonic " << k << ", ours " << *level << " dB");
                const double theirs = line_db(lines, double(k) * ours.fundamental_hz);
                CHECK(*level == Approx(theirs).margin(0.1));
                worst = std::max(worst, std::abs(*level - theirs));
            }
        const double theirs = between_lines_db(quiet, ours.fundamental_hz);
        CHECK(ours.noise_db == Approx(theirs).margin(0.5));
        worst_noise = std::max(worst_noise, std::abs(ours.noise_db - theirs));
    };
    for (const auto& h : rendered_notes())
        compare(h.name, h.settled, h.ours.tone);
    for (const double f : {146.8, 349.2, 660.0, 1864.7})
        for (const double noise_db : {-60.0, -40.0}) {
            const auto audio = tone(0.6, still(f), shape_at(f), still(1.0), noise_db);
            compare(std::to_string(f) + " Hz", audio, tone_of(audio, rate, f));
        }
    WARN("worst: harmonics " << worst << " dB, noise " << worst_noise << " dB");
}
