#include "instrument/json_field.h"

#include "base/json_value.h"

bool json_field_sound(struct span json, struct message *message)
{
    json_t *value;
    if (json_parse("", 0, json, &value, message) != STATUS_OK) {
        for (char *c = message != NULL ? message->what : NULL; c != NULL && *c != '\0'; c++)
            if ((unsigned char)*c < 0x20)
                *c = '?'; /* it quotes what came */
        return false;
    }
    json_decref(value);
    return true;
}

static size_t skip_blanks(struct span json, size_t at)
{
    while (at < json.n && strchr(" \t\r\n", json.p[at]) != NULL && json.p[at] != '\0')
        at++;
    return at;
}

static size_t skip_string(struct span json, size_t at)
{
    for (at++; at < json.n && json.p[at] != '"'; at++)
        at += json.p[at] == '\\';
    return at < json.n ? at + 1 : json.n;
}

/* Past the value that begins at `at`. */
static size_t skip_value(struct span json, size_t at)
{
    size_t depth = 0;
    while (at < json.n) {
        char c = json.p[at];
        if (depth == 0 &&
            (c == ',' || c == ']' || c == '}' || c == ' ' || c == '\t' || c == '\r' || c == '\n'))
            return at;
        if (c == '"')
            at = skip_string(json, at);
        else
            at++;
        depth += c == '{' || c == '[';
        depth -= c == '}' || c == ']';
        if (depth == 0 && (c == '"' || c == '}' || c == ']'))
            return at;
    }
    return at;
}

/* Where the value of that name, or at that place, begins within the object or array at `at`; json.n for none. */
static size_t enter(struct span json, size_t at, struct span step)
{
    bool object = json.p[at] == '{';
    size_t place = 0, wanted = 0;
    for (size_t k = 0; k < step.n && !object; k++) {
        if (step.p[k] < '0' || step.p[k] > '9' || k > 6)
            return json.n;
        wanted = wanted * 10 + (size_t)(step.p[k] - '0');
    }
    at = skip_blanks(json, at + 1);
    while (at < json.n && json.p[at] != '}' && json.p[at] != ']') {
        struct span name = {NULL, 0};
        if (object) {
            size_t end = skip_string(json, at);
            name = end >= at + 2 ? (struct span){json.p + at + 1, end - at - 2} : name;
            at = skip_blanks(json, skip_blanks(json, end) + 1); /* past the colon */
        }
        place++;
        if (object ? name.n == step.n && step.n > 0 && memcmp(name.p, step.p, step.n) == 0 : place == wanted)
            return at;
        at = skip_blanks(json, skip_value(json, at));
        at = at < json.n && json.p[at] == ',' ? skip_blanks(json, at + 1) : at;
    }
    return json.n;
}

bool json_field_find(struct span json, struct span path, struct span *ret_value)
{
    size_t at = skip_blanks(json, 0);
    while (path.n > 0) {
        size_t n = 0;
        while (n < path.n && path.p[n] != '.')
            n++;
        if (at >= json.n || (json.p[at] != '{' && json.p[at] != '['))
            return false;
        at = enter(json, at, (struct span){path.p, n});
        n += n < path.n;
        path = (struct span){path.p + n, path.n - n};
    }
    if (at >= json.n)
        return false;
    *ret_value = (struct span){json.p + at, skip_value(json, at) - at};
    return true;
}
