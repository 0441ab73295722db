// SPDX-License-Identifier: MIT
#include "engine/files/editing/edited_tree.h"

#include "engine/files/musicxml/container.h"
#include "engine/files/musicxml/text.h"
#include "engine/files/writing/musicxml_pack.h"
#include "models/units/input_error.h"

#include <sstream>

namespace canebrake::musicxml
{

using pugi::xml_node;

EditedTree::EditedTree(std::string_view bytes, std::string name)
    : name_(std::move(name)), packed_(bytes.starts_with("PK"))
{
    const std::string given = unpack(bytes, name_);
    encoding_ = Encoding::of(given);
    text_ = encoding_.to_utf8(given);
    if (encoding_.from_utf8(text_) != given)
        throw InputError(name_ + ": found text that is damaged in its encoding, wanted MusicXML");
    // With its blanks and comments: what is written anew keeps them.
    const auto flags = pugi::parse_default | pugi::parse_comments | pugi::parse_pi | pugi::parse_ws_pcdata;
    const pugi::xml_parse_result result =
        document_.load_buffer(text_.data(), text_.size(), flags, pugi::encoding_utf8);
    if (!result)
        throw InputError(name_ + ": found text that is not well-formed XML (" +
                         lower_case(result.description()) + "), wanted MusicXML");
    places_.emplace(root());
}

void EditedTree::touch(const xml_node& node)
{
    touched_[extent_of(text_, node, name_).start] = node;
}

void EditedTree::insert_before(const xml_node& node, std::vector<std::string> lines)
{
    inserted_.insert({extent_of(text_, node, name_).start, std::move(lines)});
}

/// The element as text, in the file's own manner.
std::string EditedTree::written(const xml_node& node) const
{
    std::ostringstream out;
    node.print(out, "", pugi::format_raw, pugi::encoding_utf8);
    const std::string text = out.str();
    const Insertions style(text_);
    const bool tight = text_.find(" />") == std::string::npos; // as the parser writes it
    std::string result;
    for (std::size_t i = 0; i < text.size(); ++i)
        if (text[i] == '\n')
            result += style.line_end();
        else if (!(tight && text.compare(i, 3, " />") == 0))
            result += text[i];
    return encoding_.holds_all() ? result : ascii_only(result);
}

std::string EditedTree::bytes() const
{
    Insertions edits(text_);
    for (const auto& [start, lines] : inserted_)
        edits.before(start, lines, 0);
    std::size_t behind = 0;
    for (const auto& [start, node] : touched_) {
        const Extent extent = extent_of(text_, node, name_);
        if (start < behind)
            continue; // inside another that is written anew
        behind = extent.end;
        edits.replace(extent, written(node));
    }
    const std::string text = encoding_.from_utf8(edits.apply());
    return packed_ ? pack(text) : text;
}

} // namespace canebrake::musicxml
