#include "web/qr.h"

#include "check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = 80 };

/* The squares of a drawing, light around the dark ones. */
struct squares {
    int side;
    bool dark[MOST][MOST];
};

static struct squares of_svg(const char *svg)
{
    static struct squares squares;
    memset(&squares, 0, sizeof squares);
    const char *box = strstr(svg, "viewBox=\"0 0 ");
    squares.side = box != NULL ? (int)strtol(box + 13, NULL, 10) : 0;
    for (const char *p = strstr(svg, " d=\""); p != NULL && (p = strchr(p, 'M')) != NULL; p++) {
        char *rest = NULL;
        long x = strtol(p + 1, &rest, 10), y = strtol(rest, &rest, 10);
        CHECK(strncmp(rest, "h1v1h-1z", 8) == 0 && x >= 0 && y >= 0 && x < MOST && y < MOST);
        squares.dark[y % MOST][x % MOST] = true;
    }
    return squares;
}

/* A finder pattern: a dark ring of 7 around a light one of 5 around a dark square of 3 (ISO/IEC 18004 6.3.3). */
static bool is_finder(const struct squares *squares, int left, int top)
{
    for (int y = -1; y < 8; y++)
        for (int x = -1; x < 8; x++) {
            int out = abs(x - 3) > abs(y - 3) ? abs(x - 3) : abs(y - 3);
            if (squares->dark[top + y][left + x] != (out == 3 || out < 2))
                return false;
        }
    return true;
}

TEST(a_code_has_its_three_corners_and_light_around_it)
{
    struct text svg = TEXT_EMPTY;
    CHECK(qr_add_svg("http://localhost:23456/pair#ABCD2345", "To <read>", &svg));
    CHECK(strstr(svg.s, "<title>To &lt;read&gt;</title>") != NULL);
    struct squares squares = of_svg(svg.s);
    int width = squares.side - 8;
    CHECK(width >= 21 && (width - 21) % 4 == 0); /* 21 squares, and 4 more each version: 6.1.1 */
    CHECK(is_finder(&squares, 4, 4) && is_finder(&squares, 4 + width - 7, 4) && is_finder(&squares, 4, 4 + width - 7));
    CHECK(!is_finder(&squares, 4 + width - 7, 4 + width - 7));
    for (int k = 0; k < squares.side; k++)
        for (int edge = 0; edge < 4; edge++)
            CHECK(!squares.dark[edge][k] && !squares.dark[k][edge] && !squares.dark[squares.side - 1 - edge][k] &&
                  !squares.dark[k][squares.side - 1 - edge]);
    text_free(&svg);
}

TEST(the_terminal_shows_the_same_squares)
{
    static const char words[] = "http://localhost:20001/pair#WXYZ6789";
    static const char *const block[2][2] = {{" ", "\u2584"}, {"\u2580", "\u2588"}};
    struct text svg = TEXT_EMPTY, blocks = TEXT_EMPTY, wanted = TEXT_EMPTY;
    CHECK(qr_add_svg(words, "", &svg) && qr_add_blocks(words, &blocks));
    struct squares squares = of_svg(svg.s);
    for (int y = 0; y < squares.side; y += 2) {
        text_add(&wanted, "\x1b[30;107m");
        for (int x = 0; x < squares.side; x++)
            text_add(&wanted, block[squares.dark[y][x]][squares.dark[y + 1][x]]);
        text_add(&wanted, "\x1b[0m\n");
    }
    CHECK_TEXT(blocks.s, text_string(&wanted));
    text_free(&svg);
    text_free(&blocks);
    text_free(&wanted);
}

TEST(what_does_not_fit_is_not_drawn)
{
    static char long_words[4000];
    struct text text = TEXT_EMPTY;
    memset(long_words, 'x', sizeof long_words - 1);
    CHECK(!qr_add_svg(long_words, "", &text) && !qr_add_blocks(long_words, &text) && text.length == 0);
}
