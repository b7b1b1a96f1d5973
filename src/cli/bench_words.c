#include "cli/bench_words.h"

#include "base/number.h"
#include "bench/view_json.h"
#include "report/lines.h"

enum { DURATION = 32, INDENT = 15 };

static void duration(double seconds, char buffer[static DURATION])
{
    number_print_duration(fmax(round(seconds), 0), buffer, DURATION);
}

/* A value as meters show it: so many decimals; nothing heard is said by a dash. */
static void shown(double value, int decimals, const char *unit, char *buffer, size_t size)
{
    if (isfinite(value))
        snprintf(buffer, size, "%.*f %s", decimals, value, unit);
    else
        snprintf(buffer, size, "– %s", unit);
}

static void rule(int width, struct text *text)
{
    for (int k = 0; k < width; k++)
        text_add(text, "─");
    text_add(text, "\n");
}

static void beside(const char *left, const char *right, int width, struct text *text)
{
    int blanks = width - (int)text_width(left) - (int)text_width(right);
    text_addf(text, "%s%*s%s\n", left, blanks > 1 ? blanks : 1, "", right);
}

static void pad(const char *words, int width, struct text *text)
{
    int blanks = width - (int)text_width(words);
    text_addf(text, "%s%*s", words, blanks > 0 ? blanks : 1, "");
}

static void values(const struct bench_view *view, struct text *text)
{
    const double value[] = {view->v, view->a, view->w, view->degc};
    static const char *const unit[] = {"V", "A", "W", "°C"};
    static const int decimals[] = {3, 2, 1, 1};
    text_add(text, "\n  ");
    for (int k = 0; k < 4; k++) {
        char words[32];
        if (k == 3 && !isfinite(value[k]))
            break;
        shown(value[k], decimals[k], unit[k], words, sizeof words);
        pad(words, 17, text);
    }
    text_add(text, "\n\n");
}

static void amounts(const struct bench_title *title, const struct bench_view *view, struct text *text)
{
    const struct forecast *f = view->forecast;
    char ah[64], wh[64];
    if (f == NULL)
        return;
    measure_print(&f->ah_now, "Ah", ah, sizeof ah);
    measure_print(&f->wh_now, "Wh", wh, sizeof wh);
    if (!measure_known(&f->ah_now))
        shown(f->ah, 3, "Ah", ah, sizeof ah);
    if (!measure_known(&f->wh_now))
        shown(f->wh, 1, "Wh", wh, sizeof wh);
    pad(title->kind == TEST_CHARGE ? "taken in" : "delivered", INDENT, text);
    pad(ah, 25, text);
    text_addf(text, "%s\n", wh);
    if (!isfinite(f->share_ah) && !isfinite(f->share_wh))
        return;
    shown(100 * f->share_ah, 1, "%", ah, sizeof ah);
    shown(100 * f->share_wh, 1, "%", wh, sizeof wh);
    pad("of the rated", INDENT, text);
    pad(ah, 25, text);
    text_addf(text, "%s\n", wh);
}

/* What the interval of the charge so far is made of: its two largest parts. */
static void budget(const struct bench_view *view, int width, struct text *text)
{
    const struct measure *ah = view->forecast != NULL ? &view->forecast->ah_now : NULL;
    int most = -1, next = -1;
    if (ah == NULL || !measure_known(ah))
        return;
    for (int k = 0; k < ah->count; k++) {
        double u = fabs(ah->parts[k].u);
        if (most < 0 || u > fabs(ah->parts[most].u)) {
            next = most;
            most = k;
        } else if (next < 0 || u > fabs(ah->parts[next].u)) {
            next = k;
        }
    }
    if (most < 0)
        return;
    struct text words = TEXT_EMPTY;
    text_addf(&words, "%s u = %.2g Ah", cause_name(ah->parts[most].cause), fabs(ah->parts[most].u));
    if (next >= 0)
        text_addf(&words, ", then %s %.2g Ah", cause_name(ah->parts[next].cause), fabs(ah->parts[next].u));
    pad("largest doubt", INDENT, text);
    lines_wrap(text_string(&words), INDENT, width, text);
    text_free(&words);
}

/* `between 3:58:00 and 4:06:00`, `was at 3:59:10`, or why it cannot be told. */
static void instant_words(const struct measure *at, double now_s, struct text *words)
{
    char lo[DURATION], hi[DURATION];
    if (!measure_known(at)) {
        text_addf(words, "cannot tell: %s", at->why);
        return;
    }
    if (at->value <= now_s) {
        duration(at->value, lo);
        text_addf(words, "was at %s", lo);
        return;
    }
    duration(fmax(at->lo, now_s), lo);
    duration(at->hi, hi);
    if (isfinite(at->lo) && isfinite(at->hi))
        text_addf(words, "between %s and %s", lo, hi);
    else
        duration(at->value, lo), text_addf(words, "about %s", lo);
}

static void expected(const char *what, const struct measure *at, double now_s, int width, struct text *text)
{
    struct text words = TEXT_EMPTY;
    instant_words(at, now_s, &words);
    pad(what, INDENT, text);
    lines_wrap(text_string(&words), INDENT, width, text);
    text_free(&words);
}

static void expectations(const struct bench_title *title, const struct bench_view *view, int width,
                         struct text *text)
{
    const struct forecast *f = view->forecast;
    if (f == NULL || title->kind == TEST_REST)
        return;
    if (isfinite(f->share_ah)) {
        expected("half way", &f->half_way_s, view->elapsed_s, width, text);
        expected("rated Ah", &f->rated_at_s, view->elapsed_s, width, text);
        bool open = measure_known(&f->rated_at_s) && f->reaches_rated > 0 && f->reaches_rated < 0.975;
        if (open && title->kind != TEST_CHARGE)
            text_addf(text, "%*sif it holds so much: %.0f in 100 would\n", INDENT, "", 100 * f->reaches_rated);
    }
    expected(title->kind == TEST_CHARGE ? "end" : "cut-off", &f->cut_off_at_s, view->elapsed_s, width, text);
    if (f->given[0] != '\0') {
        pad("", INDENT, text);
        lines_wrap(f->given, INDENT, width, text);
    }
}

static void book_words(const struct bench_view *view, struct text *text)
{
    if (view->unwritable)
        text_addf(text, "NOT in the book for %.0f s: it cannot be written", view->behind_s);
    else if (view->committed)
        text_add(text, "all of it in the book");
    else
        text_addf(text, "in the book but for the last %.1f s", view->behind_s);
}

void bench_block(const struct bench_title *title, const struct bench_view *view, int width, struct text *text)
{
    struct text left = TEXT_EMPTY, right = TEXT_EMPTY;
    char elapsed[DURATION];
    duration(view->elapsed_s, elapsed);
    rule(width, text);
    text_addf(&left, "%s, %s, run %lld", title->sample, test_kind_words[title->kind], (long long)view->run);
    text_addf(&right, "%s since the start", elapsed);
    beside(text_string(&left), text_string(&right), width, text);
    values(view, text);
    amounts(title, view, text);
    budget(view, width, text);
    expectations(title, view, width, text);
    left.length = right.length = 0;
    book_words(view, &left);
    text_addf(&right, "%zu readings", view->readings);
    if (view->lost > 0)
        text_addf(&right, ", %zu lost", view->lost);
    if (view->lost_instruments > 0)
        text_addf(&right, ", %zu of %zu instruments silent", view->lost_instruments, view->instruments);
    text_add(text, "\n");
    beside(text_string(&left), text_string(&right), width, text);
    text_free(&left);
    text_free(&right);
}

void bench_line(const struct bench_view *view, struct text *text)
{
    char elapsed[DURATION], words[32];
    const double value[] = {view->v, view->a, view->w, view->degc, view->ah, view->wh};
    static const char *const unit[] = {"V", "A", "W", "°C", "Ah", "Wh"};
    static const int decimals[] = {3, 2, 1, 1, 3, 1};
    duration(view->elapsed_s, elapsed);
    text_add(text, elapsed);
    for (int k = 0; k < 6; k++) {
        if (!isfinite(value[k]) && k > 1)
            continue;
        shown(value[k], decimals[k], unit[k], words, sizeof words);
        text_addf(text, "  %s", words);
    }
    const struct forecast *f = view->forecast;
    if (f != NULL && isfinite(f->share_ah))
        text_addf(text, "  %.1f %% of the rated", 100 * f->share_ah);
    if (f != NULL && measure_known(&f->cut_off_at_s)) {
        text_add(text, "  cut-off ");
        instant_words(&f->cut_off_at_s, view->elapsed_s, text);
    }
    text_add(text, "  (");
    book_words(view, text);
    text_add(text, ")\n");
}

static void end_line(json_t *object, struct text *text)
{
    json_add_text(object, true, text);
    json_decref(object);
    if (text->length > 0 && text->s[text->length - 1] != '\n')
        text_add(text, "\n");
}

void bench_json(const struct bench_view *view, struct text *text)
{
    end_line(bench_view_json(view), text);
}

void bench_call_line(const struct call *call, struct text *text)
{
    char at[DURATION];
    duration(call->t_s, at);
    text_addf(text, "%s %s  %s\n", call->urgent ? "!" : " ", at, call->text);
}

void bench_call_json(const struct call *call, struct text *text)
{
    end_line(call_json(call), text);
}
