/* Typing: a line that grows key by key while a screen changes above it, with the instant of its first key: what was
 * seen was seen before it was typed. */
#ifndef RUNDOWN_CLI_TYPING_H
#define RUNDOWN_CLI_TYPING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct typing {
    char line[240];
    size_t length;
    int64_t began_ns; /* of the first key; meaningless while empty */
    int escape;       /* inside a key that sends several bytes */
};

/* Takes a byte as it came from the terminal. True when the line is complete (Enter): it then stands in `line`, which
 * typing_clear empties. Backspace takes a character back, Ctrl-U all of them; arrows and the like do nothing. */
bool typing_key(struct typing *typing, unsigned char byte, int64_t now_ns);
void typing_clear(struct typing *typing);

#endif
