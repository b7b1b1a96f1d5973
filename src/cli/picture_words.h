/* Picture words: the pictures of a sample, for the terminal. */
#ifndef RUNDOWN_CLI_PICTURE_WORDS_H
#define RUNDOWN_CLI_PICTURE_WORDS_H

#include "book/picture.h"

/* A line each: number, name, kind and size, what it shows. */
enum status picture_list_words(struct book *book, const struct picture_list *list, int indent, struct text *text,
                               struct message *message);

#endif
