/* SPDX-License-Identifier: MIT */
/* The rough places of a score, as JSON (schema canebrake-spots), by the C face.
 *   score_to_spots quartet.musicxml '{"least": "risky"}' */
#include <canebrake.h>

#include <stdio.h>
#include <stdlib.h>

static char* read_file(const char* name, size_t* size)
{
    FILE* file = fopen(name, "rb");
    char* bytes = NULL;
    long length;
    if (file == NULL)
        return NULL;
    if (fseek(file, 0, SEEK_END) == 0 && (length = ftell(file)) >= 0 && fseek(file, 0, SEEK_SET) == 0) {
        bytes = malloc((size_t)length + 1);
        *size = bytes != NULL ? fread(bytes, 1, (size_t)length, file) : 0;
    }
    fclose(file);
    return bytes;
}

/* Prints an answer and gives it back; its fault is our exit code. */
static int print(canebrake_answer answer)
{
    const int fault = answer.fault;
    fprintf(fault == CANEBRAKE_DONE ? stdout : stderr, "%s\n", answer.text != NULL ? answer.text : "no memory");
    canebrake_free(&answer);
    return fault;
}

int main(int count, char** words)
{
    size_t size = 0;
    char* bytes;
    canebrake_line* line = NULL;
    canebrake_answer opened;
    int fault;
    if (count < 2) {
        fprintf(stderr, "score_to_spots: wanted a score, MusicXML or MIDI\n");
        return 2;
    }
    bytes = read_file(words[1], &size);
    opened = canebrake_open(bytes, size, words[1], &line);
    free(bytes);
    if (opened.fault != CANEBRAKE_DONE)
        return print(opened);
    canebrake_free(&opened);
    fault = print(canebrake_spots(line, count > 2 ? words[2] : NULL, NULL));
    canebrake_close(line);
    return fault;
}
