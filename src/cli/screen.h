/* Screen: a recording on a terminal, or without one.
 *
 * On a terminal the last lines of the screen say where the test stands, what happens scrolls by above them, and a
 * line is typed below. Elsewhere there is a plain line every few seconds, or one of JSON a second; what happens comes
 * as it comes, and lines are read from standard input.
 *
 * Keys: Enter alone puts a mark; a line such as `12.9 V 24.8 A` is a reading by eye, any other words are a mark with
 * these words; Backspace and Ctrl-U take back; Ctrl-C ends the run. */
#ifndef RUNDOWN_CLI_SCREEN_H
#define RUNDOWN_CLI_SCREEN_H

#include "cli/bench_words.h"

struct screen;

struct screen_form {
    struct bench_title title;
    bool json, quiet; /* quiet: only what happens */
    bool no_input;    /* an instrument speaks on standard input */
    const struct clock *clock;
};

struct screen *screen_open(const struct screen_form *form); /* until screen_close the terminal is ours */
void screen_close(struct screen *screen);                   /* puts it back as it was; NULL is fine */

void screen_call(struct screen *screen, const struct call *call);
void screen_say(struct screen *screen, const char *words); /* a line of our own */
/* To be called often: draws when it is time to. */
void screen_show(struct screen *screen, const struct bench_view *view);
/* A line that has been typed, with the instant of its first key; false when there is none. Does not wait. */
bool screen_typed(struct screen *screen, char *ret_line, size_t size, int64_t *ret_at_ns);
/* The line just taken could not be used: it stands there again, to be mended. */
void screen_give_back(struct screen *screen, const char *line, int64_t at_ns);

#endif
