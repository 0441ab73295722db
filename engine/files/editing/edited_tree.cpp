// SPDX-License-Identifier: MIT
#include "engine/files/editing/edited_tree.h"

#include "engine/files/musicxml/container.h"
#include "engine/files/musicxml/text.h"
#include "models/units/input_error.h"

#include <sstream>

namespace canebrake::musicxml
{

using pugi::xml_node;

EditedTree::EditedTree(std::string_view bytes, std::string name) : name_(std::move(name))
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

void EditedTree::remove(const xml_node& node)
{
    Extent extent = extent_of(text_, node, name_);
    const std::size_t start = extent.start;
    // With the blanks and the line end before it.
    const auto before = start == 0 ? std::string::npos : text_.find_last_not_of(" \t", start - 1);
    if (before != std::string::npos && text_[before] == '\n') {
        extent.start = before;
        if (before > 0 && text_[before - 1] == '\r')
            --extent.start;
    }
    touched_[start] = {};
    removed_[start] = extent;
}

void EditedTree::copy_before(const xml_node& copied, const xml_node& node)
{
    const Extent extent = extent_of(text_, copied, name_);
    inserted_.insert(
        {extent_of(text_, node, name_).start, {text_.substr(extent.start, extent.end - extent.start)}});
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
        if (start < behind)
            continue; // inside another that is written anew
        const Extent extent = node ? extent_of(text_, node, name_) : removed_.at(start);
        behind = extent.end;
        edits.replace(extent, node ? written(node) : "");
    }
    return encoding_.from_utf8(edits.apply());
}

} // namespace canebrake::musicxml
