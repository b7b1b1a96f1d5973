#include "rehearsal/clause.h"

#include "intake/amount.h"

/* A value being read. */
struct reader {
    const struct ini *ini;
    const struct ini_entry *entry;
    const struct clause *known;
    const char *form;
    struct message *message;
};

/* Up to the next comma that a blank follows; `12,5 V` is one amount. */
static struct span next_clause(struct span rest)
{
    size_t n = 0;
    while (n < rest.n &&
           !(rest.p[n] == ',' && (n + 1 == rest.n || rest.p[n + 1] == ' ' || rest.p[n + 1] == '\t')))
        n++;
    return (struct span){rest.p, n};
}

static enum status fault(const struct reader *reader, struct span clause, const char *what)
{
    ini_fault(reader->ini, reader->entry, (size_t)(clause.p - reader->entry->value), reader->message,
              "`%.*s` %s", (int)clause.n, clause.p, what);
    return status_remedy(reader->message, "write it like `%s`", reader->form);
}

/* What follows the word; false when the clause does not begin with it. */
static bool after_word(struct span clause, const char *word, struct span *ret_rest)
{
    const char *const spellings[] = {word, NULL};
    size_t n = word[0] != '\0' ? spelling_at(clause, spellings) : 0;
    if (n == 0 && word[0] != '\0')
        return false;
    *ret_rest = span_trim(span_from(clause, n));
    return true;
}

/* The whole of the span, as one plain amount. */
static bool is_amount(struct span span, struct amount *ret_amount)
{
    size_t used;
    struct message ignored;
    return amount_read(span, '\0', ret_amount, &used, &ignored) == STATUS_OK && used == span.n && used > 0 &&
           ret_amount->form == AMOUNT_PLAIN;
}

static enum status read_clause(const struct reader *reader, struct span text)
{
    for (const struct clause *c = reader->known; c->word != NULL; c++) {
        struct span rest;
        struct amount amount = {.value = 1};
        bool bare = c->quantity == QUANTITY_NONE;
        if (!after_word(text, c->word, &rest) || bare != (rest.n == 0) ||
            (!bare && !is_amount(rest, &amount)) || (!bare && amount.quantity != c->quantity))
            continue;
        if (!isnan(*c->into))
            return fault(reader, text, "is said twice");
        if (!bare && !(amount.value >= c->least && amount.value <= c->most))
            return fault(reader, text, "cannot be");
        *c->into = amount.value;
        return STATUS_OK;
    }
    return fault(reader, text, "is not understood");
}

enum status clauses_read(const struct ini *ini, const struct ini_entry *entry, const struct clause *known,
                         const char *form, struct message *message)
{
    struct reader reader = {ini, entry, known, form, message};
    struct span rest = span_of(entry->value);
    enum status status = STATUS_OK;
    do {
        struct span clause = next_clause(rest);
        rest = span_from(rest, clause.n + 1);
        status = read_clause(&reader, span_trim(clause));
    } while (status == STATUS_OK && span_trim(rest).n > 0);
    return status;
}
