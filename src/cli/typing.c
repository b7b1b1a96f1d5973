#include "cli/typing.h"

enum { ESCAPE = 27, BACKSPACE = 127, CTRL_H = 8, CTRL_U = 21 };
enum { NO_ESCAPE, AFTER_ESCAPE, IN_SEQUENCE };

void typing_clear(struct typing *typing)
{
    *typing = (struct typing){.escape = typing->escape};
}

static void take_back(struct typing *typing)
{
    while (typing->length > 0 && ((unsigned char)typing->line[--typing->length] & 0xC0) == 0x80)
        ; /* the bytes of one character */
    typing->line[typing->length] = '\0';
}

/* `ESC [ … letter` or `ESC O letter`: an arrow, a function key (ECMA-48, 5.4). */
static bool in_escape(struct typing *typing, unsigned char byte)
{
    if (byte == ESCAPE) {
        typing->escape = AFTER_ESCAPE;
        return true;
    }
    if (typing->escape == NO_ESCAPE)
        return false;
    if (typing->escape == AFTER_ESCAPE && (byte == '[' || byte == 'O'))
        typing->escape = IN_SEQUENCE;
    else if (typing->escape == AFTER_ESCAPE || (byte >= 0x40 && byte <= 0x7E))
        typing->escape = NO_ESCAPE;
    return true;
}

bool typing_key(struct typing *typing, unsigned char byte, int64_t now_ns)
{
    if (in_escape(typing, byte))
        return false;
    if (byte == '\r' || byte == '\n') {
        if (typing->length == 0)
            typing->began_ns = now_ns;
        return true;
    }
    if (byte == BACKSPACE || byte == CTRL_H) {
        take_back(typing);
    } else if (byte == CTRL_U) {
        typing_clear(typing);
    } else if (byte >= ' ' || byte == '\t') {
        if (typing->length == 0)
            typing->began_ns = now_ns;
        if (typing->length + 1 < sizeof typing->line) {
            typing->line[typing->length++] = byte == '\t' ? ' ' : (char)byte;
            typing->line[typing->length] = '\0';
        }
    }
    return false;
}
