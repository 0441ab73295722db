// SPDX-License-Identifier: MIT
#pragma once

#include <pugixml.hpp>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace canebrake::musicxml
{

/// Text of an XML document in UTF-8, whatever it came in, and the way back. Recognised as pugixml does:
/// by a byte order mark, by the shape of "<?", by a declared Latin-1; all else is taken as it is.
class Encoding
{
public:
    static Encoding of(std::string_view bytes);
    std::string to_utf8(std::string_view bytes) const;
    std::string from_utf8(std::string_view text) const;
    /// Whether any character may be written as itself; else those beyond ASCII go as &#x…;.
    bool holds_all() const { return holds_all_; }

private:
    enum Form { as_it_is, latin_1, utf_16_little, utf_16_big } form_ = as_it_is;
    bool holds_all_ = true;
};

/// Where an element stands in the text it was parsed from.
struct Extent {
    std::size_t start = 0;   ///< its '<'
    std::size_t end = 0;     ///< behind its last '>'
    std::size_t end_tag = 0; ///< the '<' of its end tag; of an empty-element tag, its own '<'
    bool empty_tag = false;  ///< <such/>
};
/// InputError if the text and the parser disagree.
Extent extent_of(const std::string& text, const pugi::xml_node&, const std::string& name);

/// Text in one line, in UTF-8, without the characters that XML 1.0 forbids.
std::string printable(std::string_view);

/// Characters beyond ASCII as references: &#x…;.
std::string ascii_only(std::string_view text);

/// Collects what is to be inserted into a text or to stand instead of a piece of it, and puts it there in one
/// go.
class Insertions
{
public:
    explicit Insertions(const std::string& text);
    /// Lines go before the tag that begins at `place`, as lines of their own with the tag's indentation and
    /// `deeper` steps more, if the tag begins its line; else without breaks.
    void before(std::size_t place, const std::vector<std::string>& lines, int deeper);
    /// An element's new text instead of the old.
    void replace(const Extent&, std::string text);
    std::string apply() const;

    const std::string& step() const { return step_; } ///< of indentation, as the text has it
    const std::string& line_end() const { return line_end_; }

    /// Text as XML character data: printable, and escaped.
    static std::string escaped(std::string_view, bool only_ascii);

private:
    const std::string& text_;
    std::string step_ = "  ", line_end_ = "\n";
    struct Piece {
        std::size_t place, end; ///< what goes
        std::string text;       ///< what comes
    };
    std::vector<Piece> pieces_;
};

} // namespace canebrake::musicxml
