/* SPDX-License-Identifier: MIT */
#ifndef CANEBRAKE_C_FACE_H
#define CANEBRAKE_C_FACE_H

#include <stddef.h>
#include <stdint.h>

/*
 * Canebrake for C and for languages that call C. A line is opened from bytes; questions and answers are JSON
 * in the published schemas (share/canebrake/schemas). Every text is UTF-8; names of files are only names: no
 * function opens a file, reads the environment or keeps anything beyond what it returns.
 *
 * Memory. An answer is the caller's: give it back with canebrake_free. A line and a sound are the caller's:
 * canebrake_close, canebrake_sound_close. A sound may outlive its line. Arguments are copied before a
 * function returns. Giving back a null pointer or an answer twice does nothing.
 *
 * Threads. Any thread may call any function. One line may be asked by several threads at once; a sound by one
 * at a time. A watch is called from the thread that asked, often; it must be quick and may not call back with
 * the same sound.
 *
 * Questions. A JSON object; what is left out has the default of the command line; null or an empty text is an
 * empty object. An unknown field is an error. See canebrake-question.schema.json.
 */

#if defined(_WIN32)
#define CANEBRAKE_API
#else
#define CANEBRAKE_API __attribute__((visibility("default")))
#endif

#ifdef __cplusplus
extern "C" {
#endif

/* Of this face. The first number changes when a caller has to; a new function or field does not change it. */
#define CANEBRAKE_FACE 1

/* What went wrong, decided by who can mend it: the exit codes of the command line. */
enum canebrake_fault {
    CANEBRAKE_BROKEN_OFF = -1,  /* the watch said stop; nothing was changed */
    CANEBRAKE_DONE = 0,         /* the answer holds what was asked for */
    CANEBRAKE_INTERNAL = 1,     /* a fault of ours, or no memory */
    CANEBRAKE_USAGE = 2,        /* the question makes no sense */
    CANEBRAKE_UNREADABLE = 3,   /* the bytes are empty, damaged, not music */
    CANEBRAKE_NEEDS_CHOICE = 4, /* several parts and none chosen; the text lists them */
    CANEBRAKE_OFF_RANGE = 5     /* a note the instrument does not have */
};

typedef struct canebrake_line canebrake_line;
typedef struct canebrake_sound canebrake_sound;

/* `text` ends in a zero that `size` does not count. With a fault it is one line in English, else what the
 * function says. Null only if there was no memory for it. */
typedef struct canebrake_answer {
    int fault;
    char* text;
    size_t size;
} canebrake_answer;

/* Whoever waits. Null instead of a watch: nobody. Either function may be null. */
typedef struct canebrake_watch {
    void* context;
    void (*progress)(void* context, double done, double whole); /* both in one unit */
    int (*stop)(void* context);                                 /* not 0: break off */
} canebrake_watch;

CANEBRAKE_API int canebrake_face(void);            /* CANEBRAKE_FACE of the library in use */
CANEBRAKE_API const char* canebrake_version(void); /* of the program: "0.1.0"; stays valid */
CANEBRAKE_API void canebrake_free(canebrake_answer*);

/* MusicXML, plain or compressed, or a Standard MIDI File, known by its content. `name` stands in messages and
 * titles; may be null. On a fault *line is null. The answer is canebrake_parts'. */
CANEBRAKE_API canebrake_answer canebrake_open(const void* bytes, size_t size, const char* name,
                                              canebrake_line** line);
/* A typed phrase (assets/docs/phrases.md). */
CANEBRAKE_API canebrake_answer canebrake_open_phrase(const char* phrase, canebrake_line** line);
CANEBRAKE_API void canebrake_close(canebrake_line*);

/* Schema canebrake-parts: what was opened, part by part. */
CANEBRAKE_API canebrake_answer canebrake_parts(const canebrake_line*);

/* Schemas canebrake-spots, canebrake-remedy, canebrake-clarinets. */
CANEBRAKE_API canebrake_answer canebrake_spots(const canebrake_line*, const char* question,
                                               const canebrake_watch*);
CANEBRAKE_API canebrake_answer canebrake_remedies(const canebrake_line*, const char* question,
                                                  const canebrake_watch*);
CANEBRAKE_API canebrake_answer canebrake_clarinets(const canebrake_line*, const char* question,
                                                   const canebrake_watch*);

/* Takes the remedies that "take" numbers, as ["1.1", "4.2"]. *changed: the part with all of them in it, a
 * line of its own; *second: the second player's, or null where there is none. The line that was asked stays
 * as it is. Schema canebrake-taken. `second` may be null if nobody wants it. */
CANEBRAKE_API canebrake_answer canebrake_take(const canebrake_line*, const char* question,
                                              const canebrake_watch*, canebrake_line** changed,
                                              canebrake_line** second);

/* Schema canebrake-compare: the line on several clarinets or by several players; without a line (null) held
 * notes over pitch and dynamic. */
CANEBRAKE_API canebrake_answer canebrake_compare(const canebrake_line*, const char* question,
                                                 const canebrake_watch*);

/* Schema canebrake-fingering: one note, or two for a slur or a trill. */
CANEBRAKE_API canebrake_answer canebrake_fingering(const char* question);
/* Schema canebrake-instruments: the family, or the one that "instrument" names. */
CANEBRAKE_API canebrake_answer canebrake_instruments(const char* question);

/* The bytes of a file, by the question's "format": "musicxml" (default: what came in, if it is that and no
 * part, bar or clarinet is asked for; else a part for who plays it), "midi", or "marked": MusicXML with short
 * words at its spots. "packed": true for compressed MusicXML. `size` counts; there may be zeros inside. */
CANEBRAKE_API canebrake_answer canebrake_save(const canebrake_line*, const char* question,
                                              const canebrake_watch*);

/* Sound. Schema canebrake-sound: sample rate, number of samples, what was assumed. With "measure": true the
 * notes are measured as they go by. On a fault *sound is null. */
CANEBRAKE_API canebrake_answer canebrake_sound_open(const canebrake_line*, const char* question,
                                                    canebrake_sound** sound);
/* The next samples, mono, full scale ±1, at most `most` of them; how many there were: 0 at the end, -1 on a
 * fault of ours. The same question gives the same samples however they are fetched. */
CANEBRAKE_API int64_t canebrake_sound_read(canebrake_sound*, float* samples, size_t most);
/* Schema canebrake-events: every note, and what was measured of it. Once, at the end. */
CANEBRAKE_API canebrake_answer canebrake_sound_events(canebrake_sound*);
CANEBRAKE_API void canebrake_sound_close(canebrake_sound*);

#ifdef __cplusplus
}
#endif

#endif
