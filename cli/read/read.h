// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

namespace canebrake
{

/// How printed pitches are to be understood. `as_file` believes the file: MusicXML `transpose`; MIDI is
/// sounding; a typed phrase is written.
enum class PitchBasis { as_file, written, sounding };

/// Reads any file we know, by content and not by name: MusicXML (plain or compressed) or a Standard MIDI
/// File. Throws InputError (Fault::unreadable): missing, empty, truncated, not music.
Score read_score(const std::filesystem::path&);

/// Readers by kind, on bytes in memory; `name` only for messages.
Score read_musicxml(std::string_view bytes, const std::string& name);
Score read_midi(std::string_view bytes, const std::string& name);

/// A typed phrase; errors point at the character (Fault::usage). One part, at printed pitch: the caller sets
/// the basis, `written` unless told otherwise.
Score read_phrase(std::string_view text);

/// How a phrase is typed: text for the command line's help, at most 80 columns wide.
std::string phrase_grammar();

/// Takes one part by MusicXML id, exact name, "track N", "channel N", or 1-based number. Empty `choice`: the
/// only part that has notes, or InputError (Fault::needs_choice) whose text lists the parts, one a line after
/// the first. The line carries the score's remarks too.
Line choose_part(const Score&, const std::string& choice);

/// Applies `--pitch` for an instrument that sounds `transposition` semitones from written (B♭ soprano: −2).
/// Afterwards `written_known` says whether what is printed is the written pitch; microtones stay.
void set_pitch_basis(Line&, PitchBasis, int transposition);
/// The same for a part that changes instrument: `transposition` is asked at each note's quarter.
void set_pitch_basis(Line&, PitchBasis, const std::function<int(double quarter)>& transposition);

/// For readers: fills bar, bar index and beat of every note's Source from the line's bars.
void place_in_bars(Line&);

} // namespace canebrake
