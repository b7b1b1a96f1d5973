#include "report/curve_tags.h"

#include "base/text.h"

#define CLEAR 3.0 /* between a tag and what is near it */
enum { REST_LINES = 400 };

void tags_want(struct tags *tags, struct wish wish, const char *where, const char *words)
{
    if (!isfinite(wish.x) || !isfinite(wish.y) || words[0] == '\0')
        return;
    if (tags->count == TAGS) {
        tags->left_out++;
        return;
    }
    size_t k = tags->count++;
    span_copy(span_of(words), tags->words[k], sizeof tags->words[k]);
    snprintf(tags->where[k], sizeof tags->where[k], "%s", where);
    tags->letters[k] = wish.letters;
    tags->tag[k] = (struct tag){.wish = layout_ink_box(wish.x, wish.y, wish.letters, tags->words[k]),
                                .reach_x = wish.reach_x,
                                .reach_y = wish.reach_y,
                                .rank = wish.rank};
}

void tags_place(struct tags *tags, const struct box *taken, size_t taken_count, struct box frame)
{
    layout_place(tags->tag, tags->count, taken, taken_count, frame, CLEAR);
}

void tags_draw(const struct tags *tags, struct figure *figure)
{
    for (size_t k = 0; k < tags->count; k++) {
        const struct tag *tag = &tags->tag[k];
        if (!tag->placed)
            continue;
        struct lettering letters = tags->letters[k];
        double up = layout_ink_box(0, 0, letters, tags->words[k]).top; /* of the box above the baseline */
        letters.anchor = ANCHOR_START;
        letters.halo = true;
        figure_text(figure, tag->box.left, tag->box.top - up, letters, tags->words[k]);
    }
}

double tags_rest(const struct tags *tags, struct figure *figure, double x, double y, double width)
{
    const struct lettering letters = {.role = ROLE_SMALL, .ink = INK_SOFT};
    struct text words = TEXT_EMPTY;
    for (size_t k = 0; k < tags->count; k++)
        if (!tags->tag[k].placed)
            text_addf(&words, "%s%s%s%s", words.length > 0 ? " · " : "", tags->where[k],
                      tags->where[k][0] != '\0' ? ": " : "", tags->words[k]);
    if (tags->left_out > 0)
        text_addf(&words, " · and %zu more", tags->left_out);
    if (words.length > 0)
        y += layout_leading(ROLE_SMALL) * (double)layout_text(figure, x, y, letters, width, REST_LINES, words.s);
    text_free(&words);
    return y;
}
