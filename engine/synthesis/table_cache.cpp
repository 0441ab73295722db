// SPDX-License-Identifier: MIT
#include "engine/synthesis/table_cache.h"

#include "engine/storage/whole_file.h"

#include <sys/stat.h>
#include <zlib.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <functional>
#include <iterator>
#include <type_traits>

namespace canebrake
{

namespace fs = std::filesystem;

namespace
{

constexpr std::array<char, 8> magic{'C', 'A', 'N', 'E', 'M', 'O', 'D', 'E'};
constexpr std::uint32_t format = 1;
// To be raised whenever the search finds other modes or other bits of them (models/modes, models/bore).
constexpr std::uint32_t search_version = 1;
constexpr std::size_t most_tables = 8192; // 4.5 MB of a soprano's
constexpr std::size_t most_bytes = 64'000'000;
constexpr std::size_t files_an_instrument = 8; // its variants: barrel, version of the program
constexpr auto ending = ".modes";

std::uint32_t sum_of(const char* data, std::size_t size)
{
    return std::uint32_t(crc32_z(0, reinterpret_cast<const Bytef*>(data), size));
}

/// Bytes one after another, as they lie in memory.
class Writer
{
public:
    template <class T> void put(const T& value)
    {
        static_assert(std::is_trivially_copyable_v<T>);
        bytes_.append(reinterpret_cast<const char*>(&value), sizeof value);
    }
    void put_sum_since(std::size_t start) { put(sum_of(bytes_.data() + start, bytes_.size() - start)); }
    std::size_t size() const { return bytes_.size(); }
    const std::string& bytes() const { return bytes_; }

private:
    std::string bytes_;
};

class Reader
{
public:
    explicit Reader(const std::vector<char>& bytes) : bytes_(bytes) {}
    /// False, and nothing read, where the bytes end.
    template <class T> bool take(T& value)
    {
        static_assert(std::is_trivially_copyable_v<T>);
        if (bytes_.size() - at_ < sizeof value)
            return false;
        std::memcpy(&value, bytes_.data() + at_, sizeof value);
        at_ += sizeof value;
        return true;
    }
    bool sum_since_is_right(std::size_t start)
    {
        const std::uint32_t right = sum_of(bytes_.data() + start, at_ - start);
        std::uint32_t written = 0;
        return take(written) && written == right;
    }
    std::size_t at() const { return at_; }

private:
    const std::vector<char>& bytes_;
    std::size_t at_ = 0;
};

bool possible(const TableCache::Known& known)
{
    double last = 0.0;
    for (const Complex s : known.poles) {
        if (!std::isfinite(s.real()) || !std::isfinite(s.imag()) || s.real() >= 0.0 || s.imag() < last)
            return false;
        last = s.imag();
    }
    return std::isfinite(known.inertance) && known.inertance >= 0.0;
}

/// FNV-1a, 64 bits.
class Hash
{
public:
    template <class T> void mix(const T& value)
    {
        static_assert(std::is_arithmetic_v<T>);
        std::array<unsigned char, sizeof value> raw;
        std::memcpy(raw.data(), &value, sizeof value);
        for (const unsigned char byte : raw)
            hash_ = (hash_ ^ byte) * 0x100000001B3ull;
    }
    std::uint64_t value() const { return hash_; }

private:
    std::uint64_t hash_ = 0xCBF29CE484222325ull;
};

} // namespace

TableCache::TableCache(fs::path folder, const std::string& instrument, std::uint64_t key)
    : folder_(std::move(folder)), key_(key)
{
    for (const char c : instrument) // a name of ours, but a path must not come of it
        instrument_ += std::isalnum(static_cast<unsigned char>(c)) ? c : '-';
    std::array<char, 17> hex{};
    std::snprintf(hex.data(), hex.size(), "%016llx", static_cast<unsigned long long>(key));
    file_ = folder_ / (instrument_ + "-" + hex.data() + ending);
}

TableCache::~TableCache()
{
    save();
}

const TableCache::Known* TableCache::find(HoleState state)
{
    if (!was_read_) {
        was_read_ = true;
        read(tables_);
    }
    const auto at = tables_.find(state);
    return at == tables_.end() ? nullptr : &at->second;
}

void TableCache::add(const ModeTable& table)
{
    if (tables_.size() >= most_tables)
        return;
    const auto count = std::ptrdiff_t(table.count);
    changed_ |=
        tables_.insert({table.state, {{table.pole.begin(), table.pole.begin() + count}, table.inertance}})
            .second;
}

void TableCache::save() noexcept
{
    if (!changed_)
        return;
    changed_ = false;
    try {
        read(tables_); // what others have found meanwhile
        write();
    } catch (...) {
        // no cache, then
    }
}

void TableCache::read(Tables& tables) const
{
    std::error_code none;
    const auto length = fs::file_size(file_, none);
    if (none || length > most_bytes)
        return;
    std::ifstream file(file_, std::ios::binary);
    const std::vector<char> bytes((std::istreambuf_iterator<char>(file)), {});
    Reader in(bytes);
    std::array<char, 8> found_magic{};
    std::uint32_t found_format = 0, records = 0;
    std::uint64_t found_key = 0;
    if (!in.take(found_magic) || !in.take(found_format) || !in.take(records) || !in.take(found_key) ||
        !in.sum_since_is_right(0) || found_magic != magic || found_format != format || found_key != key_)
        return;
    for (std::uint32_t i = 0; i < records && tables.size() < most_tables; ++i) {
        const std::size_t start = in.at();
        HoleState state;
        std::uint32_t modes = 0;
        Known known;
        if (!in.take(state.open) || !in.take(state.half) || !in.take(modes) || modes > max_modes ||
            !in.take(known.inertance))
            return;
        known.poles.resize(modes);
        for (Complex& pole : known.poles) {
            double real = 0.0, imaginary = 0.0;
            if (!in.take(real) || !in.take(imaginary))
                return;
            pole = {real, imaginary};
        }
        if (!in.sum_since_is_right(start) || !possible(known))
            return;
        tables.insert({state, std::move(known)}); // what this run has found itself stays
    }
}

void TableCache::write() const
{
    Writer out;
    out.put(magic);
    out.put(format);
    out.put(std::uint32_t(tables_.size()));
    out.put(key_);
    out.put_sum_since(0);
    for (const auto& [state, known] : tables_) {
        const std::size_t start = out.size();
        out.put(state.open);
        out.put(state.half);
        out.put(std::uint32_t(known.poles.size()));
        out.put(known.inertance);
        for (const Complex pole : known.poles) {
            out.put(pole.real());
            out.put(pole.imag());
        }
        out.put_sum_since(start);
    }
    std::error_code none;
    fs::create_directories(folder_.parent_path(), none);
    ::mkdir(folder_.c_str(), 0700); // as the specification wants it
    WholeFile file(file_, 0600);
    file.write(out.bytes());
    file.finish();
    tidy();
}

/// Keeps the newest files of this instrument, and none that a program left unfinished an hour ago.
void TableCache::tidy() const
{
    std::error_code none;
    std::vector<std::pair<fs::file_time_type, fs::path>> files;
    for (const auto& entry : fs::directory_iterator(folder_, none)) {
        const std::string name = entry.path().filename().string();
        const auto time = entry.last_write_time(none);
        if (none)
            continue;
        if (name.ends_with(WholeFile::unfinished) &&
            time < fs::file_time_type::clock::now() - std::chrono::hours(1))
            fs::remove(entry.path(), none);
        else if (name.size() == file_.filename().string().size() && name.starts_with(instrument_ + "-") &&
                 name.ends_with(ending))
            files.push_back({time, entry.path()});
    }
    std::sort(files.begin(), files.end(), std::greater<>());
    for (std::size_t i = files_an_instrument; i < files.size(); ++i)
        fs::remove(files[i].second, none);
}

std::optional<fs::path> table_cache_folder()
{
    const auto variable = [](const char* name) {
        const char* value = std::getenv(name);
        return std::string(value ? value : "");
    };
    const std::string off = variable("CANEBRAKE_NO_CACHE");
    if (!off.empty() && off != "0")
        return {};
    // The specification: a path that is not absolute is to be ignored.
    if (const fs::path given = variable("XDG_CACHE_HOME"); given.is_absolute())
        return given / "canebrake";
    if (const fs::path home = variable("HOME"); home.is_absolute())
        return home / ".cache" / "canebrake";
    return {};
}

std::uint64_t table_key(const Resonator& bore, const ModeSearch& search)
{
    Hash hash;
    hash.mix(format);
    hash.mix(search_version);
    for (const auto& corner : bore.geometry().bore) {
        hash.mix(corner.x_m);
        hash.mix(corner.radius_m);
    }
    std::uint32_t holes = 0;
    for (const auto& hole : bore.geometry().holes) {
        holes = 2 * holes + 1;
        hash.mix(hole.x_m);
        hash.mix(hole.radius_m);
        hash.mix(hole.chimney_m);
        hash.mix(hole.cover == HoleCover::pad);
        hash.mix(hole.pad_lift_m);
    }
    const Air& air = bore.air();
    for (const double value :
         {air.sound_speed_mps, air.density_kgpm3, air.viscosity_pas, air.conductivity_wpmk,
          air.heat_capacity_jpkgk, air.heat_ratio, bore.reference_area_m2(), search.top_hz, search.step_hz})
        hash.mix(value);
    hash.mix(std::uint64_t(search.count));
    for (const HoleState state : {HoleState{}, HoleState{holes, 0}, HoleState{holes, holes}})
        for (const double hz : {97.0, 1013.0, 4999.0}) {
            const auto walk = bore.walk<Dual>({-321.0, 6.283 * hz}, state);
            for (const Complex value : {walk.reed.pressure.v, walk.reed.flow.d, walk.radiated.v}) {
                hash.mix(value.real());
                hash.mix(value.imag());
            }
        }
    return hash.value();
}

} // namespace canebrake
