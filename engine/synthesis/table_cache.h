// SPDX-License-Identifier: MIT
#pragma once

#include "models/modes/mode_finder.h"

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace canebrake
{

/// Mode tables kept from one run of the program to the next: the poles and m₀ of each state of the holes,
/// from which table_from_poles gives the table again, bit for bit, in a tenth of the search's time.
///
/// A file an instrument (or a variant of one: a barrel pulled is another bore), NAME-KEY.modes, in the
/// machine's own byte order:
///
///   header   8 bytes "CANEMODE", u32 format, u32 number of records, u64 key, u32 CRC-32 of those 24 bytes
///   record   u32 open, u32 half (HoleState), u32 modes, f64 m₀ in s, modes × (f64, f64) poles in 1/s,
///            u32 CRC-32 of all that
///
/// The key is a hash of all that a table depends on: geometry, air, settings of the search, its version, and
/// what the bore answers at a few frequencies, bit for bit, so that another compiler, C library or walk is
/// another key. Reading stops at the first record that is cut off or whose sum is wrong; what is missing is
/// worked out again. Writing goes to a file of its own, which then takes the old one's place whole: programs
/// that run at once may lose each other's newest tables, never a byte. Nothing here fails: a folder that
/// cannot be read or written is no cache.
class TableCache
{
public:
    struct Known {
        std::vector<Complex> poles;
        double inertance = 0.0;
    };
    TableCache(std::filesystem::path folder, const std::string& instrument, std::uint64_t key);
    ~TableCache();
    TableCache(const TableCache&) = delete;
    TableCache& operator=(const TableCache&) = delete;

    /// nullptr: not known. The file is read at the first question.
    const Known* find(HoleState);
    void add(const ModeTable&);
    /// Writes what was added since, together with what others have written meanwhile. The destructor does
    /// too.
    void save() noexcept;
    const std::filesystem::path& file() const { return file_; }
    std::size_t size() const { return tables_.size(); }

private:
    using Tables = std::map<HoleState, Known>;
    void read(Tables&) const;
    void write() const;
    void tidy() const;

    std::filesystem::path folder_, file_;
    std::string instrument_;
    std::uint64_t key_;
    bool was_read_ = false, changed_ = false;
    Tables tables_;
};

/// Where the user's cache lies: $XDG_CACHE_HOME/canebrake or ~/.cache/canebrake (XDG Base Directory
/// Specification 0.8); none without a home, or with CANEBRAKE_NO_CACHE set to anything but 0.
std::optional<std::filesystem::path> table_cache_folder();

/// Hash of all that the tables of this search depend on.
std::uint64_t table_key(const Resonator&, const ModeSearch&);

} // namespace canebrake
