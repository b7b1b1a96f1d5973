#include "report/signs.h"

#include "base/memory.h"
#include "report/account.h"

#include <ctype.h>

static void take_name(struct signs *signs, const char *name)
{
    if (strchr(name, '.') == NULL)
        return; /* nothing in it could change */
    signs->names = memory_grow(signs->names, signs->count, &signs->capacity);
    signs->names[signs->count++] = memory_copy_string(name);
}

/* As it is, and as it stands in a page. */
static void keep(struct signs *signs, const char *name)
{
    struct text escaped = TEXT_EMPTY;
    take_name(signs, name);
    text_add_escaped(&escaped, name);
    if (strcmp(text_string(&escaped), name) != 0)
        take_name(signs, text_string(&escaped));
    text_free(&escaped);
}

/* Longer ones first: a name may begin with another. */
static int by_length(const void *a, const void *b)
{
    size_t x = strlen(*(char *const *)a), y = strlen(*(char *const *)b);
    return (x < y) - (x > y);
}

struct signs signs_of(const struct assessment *assessment, bool comma)
{
    struct signs signs = {.comma = comma};
    if (!comma)
        return signs;
    keep(&signs, "Rundown " RUNDOWN_VERSION);
    keep(&signs, assessment->command != NULL ? assessment->command : "");
    keep(&signs, assessment->label.path);
    keep(&signs, account_file(assessment->label.path));
    keep(&signs, assessment->label.sample);
    keep(&signs, assessment->label.tested);
    keep(&signs, assessment->rig.name);
    for (size_t k = 0; k < assessment->record_count; k++) {
        const struct record *record = &assessment->records[k];
        keep(&signs, record->path);
        keep(&signs, account_file(record->path));
        for (size_t c = 0; c < record->log.column_count; c++)
            keep(&signs, record->log.columns[c].header);
    }
    if (signs.count > 0)
        qsort(signs.names, signs.count, sizeof *signs.names, by_length);
    return signs;
}

void signs_free(struct signs *signs)
{
    for (size_t k = 0; k < signs->count; k++)
        free(signs->names[k]);
    free(signs->names);
    *signs = (struct signs){0};
}

static bool word_byte(char c)
{
    return isalnum((unsigned char)c) || c == '_';
}

/* Length of a name that stands at p, as a word of its own; 0 when none does. */
static size_t name_at(const struct signs *signs, const char *start, const char *p, const char *end)
{
    if (p > start && word_byte(p[-1]) && word_byte(*p))
        return 0;
    for (size_t k = 0; k < signs->count; k++) {
        size_t n = strlen(signs->names[k]);
        if (n <= (size_t)(end - p) && memcmp(p, signs->names[k], n) == 0 &&
            !(p + n < end && word_byte(p[n - 1]) && word_byte(p[n])))
            return n;
    }
    return 0;
}

static size_t digits_at(const char *p, const char *end)
{
    size_t n = 0;
    while (p + n < end && isdigit((unsigned char)p[n]))
        n++;
    return n;
}

/* Changes the number at p, if it is one, and returns how far to go on. */
static size_t set_number(const char *start, char *p, const char *end)
{
    size_t whole = digits_at(p, end), behind = p + whole + 1 < end && p[whole] == '.' ? digits_at(p + whole + 1, end) : 0;
    size_t n = whole + (behind > 0 ? 1 + behind : 0);
    bool touched = p > start && (word_byte(p[-1]) || (p[-1] == '.' && !(p - 1 > start && p[-2] == '.')));
    bool dotted = p + n + 1 < end && p[n] == '.' && word_byte(p[n + 1]);
    if (behind == 0)
        return whole;
    if (!touched && !dotted && !(p + n < end && p[n] == '_'))
        p[whole] = ',';
    while (dotted && p + n < end && (word_byte(p[n]) || (p[n] == '.' && p + n + 1 < end && word_byte(p[n + 1]))))
        n++; /* all of 1.2.3 or 2.5.csv */
    return n;
}

static void set_span(const struct signs *signs, char *start, char *end)
{
    for (char *p = start; p < end;) {
        size_t name = name_at(signs, start, p, end);
        if (name > 0)
            p += name;
        else if (isdigit((unsigned char)*p))
            p += set_number(start, p, end);
        else
            p++;
    }
}

void signs_set(const struct signs *signs, char *words)
{
    if (signs->comma)
        set_span(signs, words, words + strlen(words));
}

void signs_set_figure(const struct signs *signs, struct figure *figure)
{
    for (size_t at = 0; at < figure->strings.length; at += strlen(figure->strings.s + at) + 1)
        signs_set(signs, figure->strings.s + at);
}

static bool opens(const char *tag, const char *name)
{
    size_t n = strlen(name);
    return strncmp(tag, name, n) == 0 && !isalnum((unsigned char)tag[n]);
}

/* Where the element that `tag` opens is closed, when it is one whose words stay; else NULL. */
static char *end_of_kept(char *tag)
{
    static const char *const kept[] = {"style", "code", "time", NULL};
    for (int k = 0; kept[k] != NULL; k++)
        if (opens(tag + 1, kept[k])) {
            char closing[16];
            snprintf(closing, sizeof closing, "</%s", kept[k]);
            char *end = strstr(tag, closing);
            return end != NULL ? end : tag + strlen(tag);
        }
    return NULL;
}

void signs_set_html(const struct signs *signs, char *html)
{
    static const char label[] = "aria-label=\"";
    for (char *p = html; signs->comma && *p != '\0';) {
        char *tag = p + strcspn(p, "<"), *close = tag + strcspn(tag, ">");
        set_span(signs, p, tag);
        char *value = memmem(tag, (size_t)(close - tag), label, strlen(label));
        if (value != NULL)
            set_span(signs, value + strlen(label), value + strlen(label) + strcspn(value + strlen(label), "\""));
        char *kept = *tag != '\0' ? end_of_kept(tag) : NULL;
        p = kept != NULL ? kept : *close != '\0' ? close + 1 : close;
    }
}
