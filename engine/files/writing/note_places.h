// SPDX-License-Identifier: MIT
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <pugixml.hpp>
#include <string>
#include <utility>
#include <vector>

namespace canebrake::musicxml
{

/// Finds notes of a document by the ids that the reader gives them (see cli/read/musicxml_walk.cpp): the
/// note's own XML id, or part, printed bar number and how manieth <note> of the bar it is.
class NotePlaces
{
public:
    /// The root: score-partwise or score-timewise.
    explicit NotePlaces(const pugi::xml_node& root);

    struct Place {
        std::size_t part = 0, note = 0;
    };
    /// The first that bears it, as bar numbers may stand twice.
    std::optional<Place> find(const std::string& id) const;
    bool stands_twice(const std::string& id) const;
    pugi::xml_node node(Place) const;

    /// The note and those tied to it, in order; after a two-note tremolo's first note its second.
    std::vector<pugi::xml_node> held(Place) const;

private:
    struct Entry {
        pugi::xml_node node;
        std::size_t bar = 0;
    };
    std::vector<Entry>& entries_of(const std::string& part);
    void add_bar(const std::string& part, std::size_t index, const pugi::xml_node& content,
                 const std::string& number);
    bool goes_on(const Entry& from, const Entry& to) const;

    std::vector<std::vector<Entry>> parts_;
    std::map<std::string, std::size_t> part_index_;
    std::map<std::string, Place> by_id_;
    std::map<std::string, int> seen_;
};

} // namespace canebrake::musicxml
