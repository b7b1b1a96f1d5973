/* Code words: what was read off a picture, as the terminal shows it. */
#ifndef RUNDOWN_CLI_CODE_WORDS_H
#define RUNDOWN_CLI_CODE_WORDS_H

#include "image/codes.h"

/* The file, whole; one of more than PHOTOGRAPH_BYTES is refused. */
enum status picture_load(const char *path, struct text *ret_bytes, struct message *message);
/* One line a code, and below it what it says where it is that of a cell. */
void codes_words(const struct code *codes, size_t count, int indent, struct text *text);

#endif
