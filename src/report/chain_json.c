/* A chain as JSON. */
#include "report/chain.h"

#include "report/account.h"
#include "report/json_parts.h"

/* Cells without marks of emphasis, which are single control characters. */
static json_t *cell_json(const char *cell)
{
    struct text plain = TEXT_EMPTY;
    for (const char *p = cell; *p != '\0'; p++)
        if ((unsigned char)*p >= ' ')
            text_add_bytes(&plain, p, 1);
    json_t *words = json_words(text_string(&plain));
    text_free(&plain);
    return words;
}

static json_t *rows_json(const struct listing *listing)
{
    json_t *rows = json_array();
    for (size_t r = 0; r < listing_rows(listing); r++) {
        json_t *row = json_array();
        for (size_t c = 0; c < listing->columns; c++)
            json_array_append_new(row, cell_json(listing_cell(listing, r, c)));
        json_array_append_new(rows, row);
    }
    return rows;
}

/* What bears on it, as people read it; the largest first. */
static void put_measure(json_t *o, const struct chain_link *link)
{
    json_put(o, "measure", json_measure_with_budget(&link->measure, link->quantity));
    const char *symbol;
    struct measure shown = account_shown(&link->measure, link->quantity, &symbol);
    if (!measure_known(&shown) || shown.count == 0)
        return;
    struct listing rows = listing_of(3);
    account_budget(&shown, symbol, false, &rows);
    json_put(o, "budget_rows", rows_json(&rows));
    listing_free(&rows);
    struct text largest = TEXT_EMPTY;
    account_largest(&shown, &largest);
    json_put_words(o, "largest", text_string(&largest));
    text_free(&largest);
}

static json_t *heads_json(const char *heads)
{
    json_t *all = json_array();
    for (const char *from = heads; *heads != '\0';) {
        const char *end = strchr(from, '|');
        char head[64];
        span_copy((struct span){from, end != NULL ? (size_t)(end - from) : strlen(from)}, head, sizeof head);
        json_array_append_new(all, json_words(head));
        if (end == NULL)
            break;
        from = end + 1;
    }
    return all;
}

static json_t *link_json(const struct chain_link *link)
{
    static const char *const kinds[] = {"words", "fact", "measure", "table", "readings"};
    json_t *o = json_object();
    json_put_words(o, "kind", kinds[link->kind]);
    json_put(o, "inner", json_boolean(link->inner));
    if (link->kind == CHAIN_READINGS) {
        json_put(o, "log", json_integer((json_int_t)link->record));
        json_put_words(o, "title", account_file(link->title));
    } else {
        json_put_words(o, "title", link->title);
    }
    json_put_words(o, "words", link->words);
    if (link->kind == CHAIN_MEASURE)
        put_measure(o, link);
    if (link->kind == CHAIN_TABLE) {
        json_put(o, "heads", heads_json(link->heads));
        json_put(o, "rows", rows_json(&link->rows));
    }
    if (link->first > 0) {
        json_put(o, "from_s", json_number(link->from_s));
        json_put(o, "to_s", json_number(link->to_s));
        json_put(o, "first", json_integer(link->first));
        json_put(o, "last", json_integer(link->last));
        json_put_words(o, "counted_in", link->lines ? "lines" : "readings");
    }
    return o;
}

json_t *json_chain(const struct finding_chain *chain)
{
    json_t *o = json_object(), *links = json_array();
    for (size_t k = 0; k < chain->count; k++)
        json_array_append_new(links, link_json(&chain->links[k]));
    json_put_words(o, "finding", chain->finding);
    json_put(o, "links", links);
    return o;
}
