// SPDX-License-Identifier: MIT
#include "engine/comparison/figures.h"

#include <cassert>
#include <cmath>
#include <vector>

namespace canebrake
{
namespace
{

using Figure = std::optional<double>;

/// Mean of the values that are there; empty if none is.
class Mean
{
public:
    void add(const Figure& value)
    {
        if (value) {
            sum_ += *value;
            ++count_;
        }
    }
    Figure value() const { return count_ > 0 ? Figure(sum_ / double(count_)) : Figure(); }

private:
    double sum_ = 0.0;
    std::size_t count_ = 0;
};

template <class Item, class Get> Figure mean(std::span<const Item> items, Get get)
{
    Mean sum;
    for (const Item& item : items)
        sum.add(get(item));
    return sum.value();
}

Figure logarithm(const Figure& value)
{
    return value && *value > 0.0 ? Figure(std::log(*value)) : Figure();
}

Figure exponential(const Figure& value)
{
    return value ? Figure(std::exp(*value)) : Figure();
}

Figure less(const Figure& of, const Figure& against)
{
    return of && against ? Figure(*of - *against) : Figure();
}

} // namespace

ToneFigures figures_of(const ToneMeasure& heard)
{
    constexpr double silent_db = -119.0;
    ToneFigures f;
    const NoteMeasure& note = heard.note;
    const Tone& tone = heard.tone;
    if (note.level_db > silent_db) {
        f.level_db = note.level_db;
        f.loudness_lkfs = tone.loudness_lkfs;
    }
    if (!note.in_register || tone.fundamental_hz <= 0.0)
        return f; // what sounds is another note
    f.cents = note.cents;
    f.speaking_ms = 1e3 * note.speaking_s;
    f.centroid_hz = tone.centroid_hz;
    f.odd_over_even_db = tone.odd_over_even_db;
    f.even_over_neighbours_db = tone.even_over_neighbours_db;
    f.fundamental_share_db = tone.fundamental_share_db;
    f.noise_db = tone.noise_db;
    return f;
}

ToneFigures mean_of(std::span<const ToneFigures> all)
{
    const auto of = [&](Figure ToneFigures::*figure) {
        return mean(all, [&](const ToneFigures& f) { return f.*figure; });
    };
    ToneFigures m;
    for (Figure ToneFigures::*figure :
         {&ToneFigures::level_db, &ToneFigures::loudness_lkfs, &ToneFigures::cents, &ToneFigures::speaking_ms,
          &ToneFigures::odd_over_even_db, &ToneFigures::fundamental_share_db, &ToneFigures::noise_db})
        m.*figure = of(figure);
    m.centroid_hz = exponential(mean(all, [](const ToneFigures& f) { return logarithm(f.centroid_hz); }));
    for (std::size_t band = 0; band < even_bands.size(); ++band)
        m.even_over_neighbours_db[band] =
            mean(all, [&](const ToneFigures& f) { return f.even_over_neighbours_db[band]; });
    return m;
}

ToneDifference difference(const ToneFigures& of, const ToneFigures& against)
{
    ToneDifference d;
    d.notes = of.centroid_hz && against.centroid_hz;
    d.level_db = less(of.level_db, against.level_db);
    d.loudness_lu = less(of.loudness_lkfs, against.loudness_lkfs);
    d.cents = less(of.cents, against.cents);
    d.speaking_ms = less(of.speaking_ms, against.speaking_ms);
    d.odd_over_even_db = less(of.odd_over_even_db, against.odd_over_even_db);
    d.fundamental_share_db = less(of.fundamental_share_db, against.fundamental_share_db);
    d.centroid_ratio = exponential(less(logarithm(of.centroid_hz), logarithm(against.centroid_hz)));
    return d;
}

ToneDifference mean_difference(std::span<const ToneFigures> of, std::span<const ToneFigures> against)
{
    assert(of.size() == against.size());
    std::vector<ToneDifference> each;
    ToneDifference m;
    for (std::size_t i = 0; i < of.size(); ++i) {
        each.push_back(difference(of[i], against[i]));
        m.notes += each.back().notes;
    }
    const std::span<const ToneDifference> all(each);
    for (Figure ToneDifference::*figure :
         {&ToneDifference::level_db, &ToneDifference::loudness_lu, &ToneDifference::cents,
          &ToneDifference::speaking_ms, &ToneDifference::odd_over_even_db,
          &ToneDifference::fundamental_share_db})
        m.*figure = mean(all, [&](const ToneDifference& d) { return d.*figure; });
    m.centroid_ratio =
        exponential(mean(all, [](const ToneDifference& d) { return logarithm(d.centroid_ratio); }));
    return m;
}

} // namespace canebrake
