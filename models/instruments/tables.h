// SPDX-License-Identifier: MIT
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// A comma-separated table with a header row; `name` goes into messages. No quoting: our tables hold no
/// commas.
class CsvTable
{
public:
    CsvTable(std::string_view text, std::string name);
    std::size_t rows() const { return cells_.size(); }
    const std::string& text(std::size_t row, const std::string& column) const;
    double number(std::size_t row,
                  const std::string& column) const; ///< throws InputError: place, found, wanted

private:
    std::string name_;
    std::map<std::string, std::size_t> columns_;
    std::vector<std::vector<std::string>> cells_;
};

} // namespace canebrake
