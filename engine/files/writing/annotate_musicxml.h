// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// Something to be said at a note of a score.
struct Annotation {
    std::string note; ///< the reader's own id, as in Source::id: XML id or "P5:m12:n3"
    enum Kind { words, fingering, breath } kind = words;
    std::string text{}; ///< of words and fingering; a breath needs none
};

/// A MusicXML score (plain or compressed, partwise or timewise) with annotations in it. Nothing else changes:
/// text is only ever inserted into the bytes that came in, on lines of its own where the document is written
/// in lines, and in the document's own encoding.
///
/// Words stand below the staff at the onset of their note, in its voice and on its staff, before the note (a
/// chord's first one) and after any grace notes that lead to it. A fingering goes to the note; a breath to
/// the last of the notes tied to it. A note that has a fingering keeps it, one that has a breath mark or a
/// caesura keeps that, and the same words are not said twice at one place.
///
/// `remarks` learns what was left out and why: ids that are not in the document, a note with another
/// fingering already, empty text. InputError (Fault::unreadable) where the bytes are no score; `name` only
/// for messages. `compressed`: comes back packed (see musicxml_pack.h), else as plain XML.
std::string annotate_musicxml(std::string_view bytes, const std::string& name, const std::vector<Annotation>&,
                              bool compressed, std::vector<std::string>& remarks);

} // namespace canebrake
