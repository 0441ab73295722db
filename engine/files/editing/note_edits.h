// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <pugixml.hpp>

#include <string>

namespace canebrake::musicxml
{

// Changes of one <note>. Elements keep the order that MusicXML 4.0, complexType note, asks for.

/// Another pitch: step 0 = C … 6 = B, alter −2 … +2, octave 4 begins with middle C. An accidental that was
/// printed goes.
void set_pitch(pugi::xml_node note, int step, int alter, int octave);
/// Shows the accidental the pitch has.
void show_accidental(pugi::xml_node note, int alter);
/// A rest of the same length: what only a note can bear goes.
void make_rest(pugi::xml_node note);

/// Adds and takes away the marks that differ; false if there is one that no element stands for here.
bool set_articulations(pugi::xml_node note, std::uint16_t before, std::uint16_t after);
/// Empty: none.
void set_fingering(pugi::xml_node note, const std::string& text);
/// Takes away ornaments of the kinds that went, and gives trills their new distance and first note; false
/// where an ornament changed in another way.
bool set_ornaments(pugi::xml_node node, const Note& before, const Note& after);

/// A new child where it belongs: before `follower`, or last if that is null; on a line of its own if its
/// neighbours have one.
pugi::xml_node add_child(pugi::xml_node parent, const char* name, pugi::xml_node follower = {});

void add_slur_end(pugi::xml_node note, const char* type, int number);
/// Takes away an element of the note's notations, and groups that are empty then.
void remove_notation(pugi::xml_node mark);

} // namespace canebrake::musicxml
