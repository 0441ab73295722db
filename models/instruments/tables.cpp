// SPDX-License-Identifier: MIT
#include "models/instruments/tables.h"

#include "models/units/input_error.h"

#include <cstdlib>

namespace canebrake
{

namespace
{

std::vector<std::string> split(std::string_view row)
{
    std::vector<std::string> cells;
    for (std::size_t start = 0; start <= row.size();) {
        const auto end = std::min(row.find(',', start), row.size());
        cells.emplace_back(row.substr(start, end - start));
        start = end + 1;
    }
    return cells;
}

} // namespace

CsvTable::CsvTable(std::string_view text, std::string name) : name_(std::move(name))
{
    while (!text.empty()) {
        const auto end = std::min(text.find('\n'), text.size());
        const auto row = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        if (row.empty() || row.front() == '#')
            continue;
        auto cells = split(row);
        if (columns_.empty()) {
            for (std::size_t i = 0; i < cells.size(); ++i)
                columns_[cells[i]] = i;
        } else {
            if (cells.size() != columns_.size())
                throw InputError(name_ + ", row " + std::to_string(cells_.size() + 1) + ": found " +
                                 std::to_string(cells.size()) + " cells, wanted " +
                                 std::to_string(columns_.size()) + " (a number takes a point, not a comma)");
            cells_.push_back(std::move(cells));
        }
    }
}

const std::string& CsvTable::text(std::size_t row, const std::string& column) const
{
    const auto at = columns_.find(column);
    if (at == columns_.end())
        throw InputError(name_ + ": no column '" + column + "'");
    return cells_.at(row).at(at->second);
}

double CsvTable::number(std::size_t row, const std::string& column) const
{
    const std::string& cell = text(row, column);
    char* end = nullptr;
    const double value = std::strtod(cell.c_str(), &end);
    if (cell.empty() || *end != '\0')
        throw InputError(name_ + ", row " + std::to_string(row + 1) + ", column " + column + ": found '" +
                         cell + "', wanted a number such as 4.1");
    return value;
}

} // namespace canebrake
