#include "instrument/address.h"

static const char *const forms[] = {"tcp HOST:PORT", "serial DEVICE 9600 8N1", "usbtmc DEVICE", "stdin",
                                    "PATH"};
static const char *const words[] = {"tcp", "serial", "usbtmc", "stdin"};

static enum status fault(const struct link *link, unsigned kinds, struct message *message, const char *what)
{
    struct text list = TEXT_EMPTY;
    for (int k = 0; k < 5; k++)
        if (kinds & 1U << k)
            text_addf(&list, "%s`address = %s`", list.length > 0 ? " or " : "", forms[k]);
    link_fault(link, NULL, NULL, message, "the address '%s' of [%s] %s", link->address, link->name, what);
    status_remedy(message, "write %s", text_string(&list));
    text_free(&list);
    return STATUS_MALFORMED;
}

static bool whole(struct span digits, int least, int most, int *ret_number)
{
    long number = 0;
    for (size_t k = 0; k < digits.n; k++) {
        if (digits.p[k] < '0' || digits.p[k] > '9' || number > most)
            return false;
        number = number * 10 + (digits.p[k] - '0');
    }
    if (digits.n == 0 || number < least || number > most)
        return false;
    *ret_number = (int)number;
    return true;
}

/* Returns what is wrong, NULL when all is well. */
static const char *read_tcp(struct span rest, int port, struct address *address)
{
    struct span host = span_take_word(&rest);
    if (span_trim(rest).n > 0)
        return "has something after host and port";
    size_t end = 0;
    if (host.n > 0 && host.p[0] == '[') {
        while (end < host.n && host.p[end] != ']')
            end++;
        if (end == host.n)
            return "opens a bracket and does not close it";
        span_copy((struct span){host.p + 1, end - 1}, address->where, sizeof address->where);
        end++;
    } else {
        while (end < host.n && host.p[end] != ':')
            end++;
        span_copy((struct span){host.p, end}, address->where, sizeof address->where);
    }
    address->port = port;
    if (address->where[0] == '\0')
        return "names no host";
    if (end == host.n)
        return port > 0 ? NULL : "names no port";
    if (host.p[end] != ':' ||
        !whole((struct span){host.p + end + 1, host.n - end - 1}, 1, 65535, &address->port))
        return "has no port from 1 to 65535";
    return NULL;
}

static const char *read_serial(struct span rest, struct address *address)
{
    struct span device = span_take_word(&rest), baud = span_take_word(&rest), frame = span_take_word(&rest);
    *address = (struct address){ADDRESS_SERIAL, "", 0, 9600, 8, 1, 'N'};
    span_copy(device, address->where, sizeof address->where);
    if (device.n == 0)
        return "names no device";
    if (baud.n > 0 && !whole(baud, 50, 4000000, &address->baud))
        return "has no rate from 50 to 4000000 baud";
    if (span_trim(rest).n > 0)
        return "has something after the device, its rate and its frame";
    if (frame.n == 0)
        return NULL;
    char parity = frame.n == 3 ? (char)(frame.p[1] & ~0x20) : '\0';
    if ((parity != 'N' && parity != 'E' && parity != 'O') ||
        !whole((struct span){frame.p, 1}, 5, 8, &address->data_bits) ||
        !whole((struct span){frame.p + 2, 1}, 1, 2, &address->stop_bits))
        return "has no frame such as 8N1, 7E1 or 8N2";
    address->parity = parity;
    return NULL;
}

enum status address_read(const struct link *link, unsigned kinds, int port, struct address *ret_address,
                         struct message *message)
{
    struct span rest = span_of(link->address), word = span_take_word(&rest);
    struct address address = {.kind = ADDRESS_PATH};
    for (int k = 0; k < ADDRESS_PATH; k++)
        if (span_is_word(word, words[k]))
            address.kind = (enum address_kind)k;
    if (word.n == 0)
        return fault(link, kinds, message, "is empty");
    if (!(kinds & 1U << address.kind))
        return fault(link, kinds, message, "is none that this driver can use");
    const char *wrong = NULL;
    rest = span_trim(rest);
    if (address.kind == ADDRESS_TCP)
        wrong = read_tcp(rest, port, &address);
    else if (address.kind == ADDRESS_SERIAL)
        wrong = read_serial(rest, &address);
    else if (address.kind == ADDRESS_USBTMC)
        wrong =
            rest.n == 0 ? "names no device" : (span_copy(rest, address.where, sizeof address.where), NULL);
    else if (address.kind == ADDRESS_STDIN)
        wrong = rest.n > 0 ? "has something after `stdin`" : NULL;
    else
        span_copy(span_of(link->address), address.where, sizeof address.where);
    if (wrong != NULL)
        return fault(link, kinds, message, wrong);
    *ret_address = address;
    return STATUS_OK;
}
