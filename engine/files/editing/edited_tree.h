// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/writing/note_places.h"
#include "engine/files/writing/xml_insert.h"

#include <pugixml.hpp>

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake::musicxml
{

/// A MusicXML document whose elements are changed here and there: what nobody touches comes out as it came
/// in, byte for byte.
class EditedTree
{
public:
    /// InputError as `annotate_musicxml`. `name`: for messages.
    EditedTree(std::string_view bytes, std::string name);

    pugi::xml_node root() const { return document_.document_element(); }
    NotePlaces& places() { return *places_; }

    /// This element was changed below itself and is written anew.
    void touch(const pugi::xml_node&);
    /// New elements, as lines indented by single blanks, before an element of the original.
    void insert_before(const pugi::xml_node&, std::vector<std::string> lines);
    bool changed() const { return !touched_.empty() || !inserted_.empty(); }

    /// The document, plain or compressed as it came.
    std::string bytes() const;

private:
    std::string written(const pugi::xml_node&) const;

    std::string name_, text_;
    Encoding encoding_;
    bool packed_ = false;
    pugi::xml_document document_;
    std::optional<NotePlaces> places_;
    std::map<std::size_t, pugi::xml_node> touched_; ///< by where they begin in the text
    std::multimap<std::size_t, std::vector<std::string>> inserted_;
};

} // namespace canebrake::musicxml
