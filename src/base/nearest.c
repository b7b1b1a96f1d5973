#include "base/nearest.h"

#include <ctype.h>

enum { NAME_LONGEST = 64 };

size_t name_fold(struct span word, char *ret_folded, size_t size)
{
    size_t n = 0;
    word = span_trim(word);
    for (size_t k = 0; k < word.n && n < size; k++) {
        bool joint = strchr(" \t_-", word.p[k]) != NULL && word.p[k] != '\0';
        if (joint && n > 0 && ret_folded[n - 1] == ' ')
            continue;
        ret_folded[n++] = joint ? ' ' : (char)tolower((unsigned char)word.p[k]);
    }
    return n;
}

bool name_alike(struct span a, const char *b)
{
    char x[NAME_LONGEST], y[NAME_LONGEST];
    size_t n = name_fold(a, x, sizeof x), m = name_fold(span_of(b), y, sizeof y);
    return n == m && n < NAME_LONGEST && memcmp(x, y, n) == 0;
}

int name_find(struct span word, const char *const *known)
{
    for (int k = 0; known[k] != NULL; k++)
        if (name_alike(word, known[k]))
            return k;
    return -1;
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

static size_t distance(const char *a, size_t n, const char *b, size_t m)
{
    size_t row[3][NAME_LONGEST + 1]; /* rows i-2, i-1 and i of the table */
    for (size_t j = 0; j <= m; j++)
        row[0][j] = j;
    for (size_t i = 1; i <= n; i++) {
        size_t *now = row[i % 3], *before = row[(i + 2) % 3], *two_before = row[(i + 1) % 3];
        now[0] = i;
        for (size_t j = 1; j <= m; j++) {
            now[j] = least(least(before[j], now[j - 1]) + 1, before[j - 1] + (a[i - 1] != b[j - 1]));
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                now[j] = least(now[j], two_before[j - 2] + 1);
        }
    }
    return row[n % 3][m];
}

const char *name_nearest(struct span word, const char *const *known)
{
    char x[NAME_LONGEST], y[NAME_LONGEST];
    size_t n = name_fold(word, x, sizeof x), best = 0;
    const char *found = NULL;
    for (; *known != NULL; known++) {
        size_t m = name_fold(span_of(*known), y, sizeof y);
        size_t d = distance(x, n, y, m);
        if (3 * d <= m && (found == NULL || d < best)) {
            found = *known;
            best = d;
        }
    }
    return found;
}

void name_list(const char *const *known, char *buffer, size_t size)
{
    struct text list = TEXT_EMPTY;
    for (size_t k = 0; known[k] != NULL; k++)
        text_addf(&list, "%s%s", k > 0 ? ", " : "", known[k]);
    span_copy(span_of(text_string(&list)), buffer, size);
    text_free(&list);
}
