#include "instrument/devices.h"

#include "base/memory.h"
#include "base/text.h"

#include <dirent.h>
#include <libserialport.h>
#include <unistd.h>

static struct device *add(struct devices *devices, const char *kind, const char *path)
{
    devices->items = memory_grow(devices->items, devices->count, &devices->capacity);
    struct device *device = &devices->items[devices->count++];
    *device = (struct device){.ours = access(path, R_OK | W_OK) == 0};
    snprintf(device->address, sizeof device->address, "%s %s", kind, path);
    return device;
}

static void find_serial(struct devices *devices)
{
    struct sp_port **ports = NULL;
    if (sp_list_ports(&ports) != SP_OK)
        return;
    for (size_t k = 0; ports[k] != NULL; k++) {
        struct device *device = add(devices, "serial", sp_get_port_name(ports[k]));
        const char *about = sp_get_port_description(ports[k]);
        const char *serial =
            sp_get_port_transport(ports[k]) == SP_TRANSPORT_USB ? sp_get_port_usb_serial(ports[k]) : NULL;
        snprintf(device->about, sizeof device->about, "%s%s%s", about != NULL ? about : "",
                 about != NULL && serial != NULL ? ", " : "", serial != NULL ? serial : "");
    }
    sp_free_port_list(ports);
}

/* One line of a file of sysfs, appended; nothing when there is none. */
static void add_line(const char *path, struct text *text)
{
    struct text content = TEXT_EMPTY;
    if (text_read_file(path, 4096, &content) != 0)
        return;
    struct span line = span_trim(span_of(text_string(&content)));
    if (line.n > 0 && span_bad_utf8(line) == line.n && memchr(line.p, '\n', line.n) == NULL)
        text_addf(text, "%s%.*s", text->length > 0 ? " " : "", (int)line.n, line.p);
    text_free(&content);
}

static int by_number(const struct dirent **a, const struct dirent **b)
{
    return versionsort(a, b);
}

static int is_usbtmc(const struct dirent *entry)
{
    const char *digits = entry->d_name + 6;
    return strncmp(entry->d_name, "usbtmc", 6) == 0 && *digits != '\0' &&
           strspn(digits, "0123456789") == strlen(digits);
}

static void find_usbtmc(const char *root, struct devices *devices)
{
    static const char *const facts[] = {"manufacturer", "product", "serial"};
    char folder[512], path[1024];
    struct dirent **entries = NULL;
    snprintf(folder, sizeof folder, "%s/dev", root);
    int count = scandir(folder, &entries, is_usbtmc, by_number);
    for (int k = 0; k < count; k++) {
        struct text about = TEXT_EMPTY;
        snprintf(path, sizeof path, "%s/%s", folder, entries[k]->d_name);
        struct device *device = add(devices, "usbtmc", path);
        for (size_t f = 0; f < sizeof facts / sizeof *facts;
             f++) { /* of the USB device, whose interface this is */
            snprintf(path, sizeof path, "%s/sys/class/usbmisc/%s/device/../%s", root, entries[k]->d_name,
                     facts[f]);
            add_line(path, &about);
        }
        span_copy(span_of(text_string(&about)), device->about, sizeof device->about);
        text_free(&about);
        free(entries[k]);
    }
    free(entries);
}

void devices_find(const char *root, struct devices *ret_devices)
{
    struct devices devices = {0};
    if (root[0] == '\0')
        find_serial(&devices);
    find_usbtmc(root, &devices);
    *ret_devices = devices;
}

void devices_free(struct devices *devices)
{
    free(devices->items);
    *devices = (struct devices){0};
}

/* `/dev/ttyUSB0` but not `/dev/tty1`, which is a screen, and nothing that leads out of the folder. */
static bool is_device_file(const char *path)
{
    static const char *const folders[] = {"/dev/serial/by-id/", "/dev/serial/by-path/", "/dev/usbtmc", "/dev/rfcomm", "/dev/tty"};
    for (size_t k = 0; k < sizeof folders / sizeof *folders; k++) {
        size_t n = strlen(folders[k]);
        if (strncmp(path, folders[k], n) == 0)
            return path[n] != '\0' && strchr(path + n, '/') == NULL && strcmp(path + n, "..") != 0 &&
                   (strcmp(folders[k], "/dev/tty") != 0 || (path[n] >= 'A' && path[n] <= 'Z'));
    }
    return false;
}

/* A setting that names a file, whose content would be sent to whatever answers at the address. */
static const struct link_setting *file_setting(const struct link *link)
{
    static const char *const keys[] = {"password file", "cafile", "certfile", "keyfile"};
    const struct link_setting *found = NULL;
    for (size_t k = 0; k < sizeof keys / sizeof *keys && found == NULL; k++)
        found = link_setting(link, keys[k], NULL);
    return found;
}

enum status devices_alone(const struct links *links, struct message *message)
{
    for (size_t k = 0; k < links->count; k++) {
        const struct link *link = &links->items[k];
        const struct link_setting *setting = file_setting(link);
        if (setting != NULL) {
            link_fault(link, setting, NULL, message, "'%s' names a file of this machine, which a browser may not", setting->key);
            return status_remedy(message, "use `password`, or record by the command line: `rundown record`");
        }
        struct span rest = span_of(link->address), word = span_take_word(&rest);
        char path[sizeof link->address];
        span_copy(span_trim(rest), path, sizeof path);
        if (span_is_word(word, "serial"))
            span_copy(span_take_word(&rest), path, sizeof path);
        if (strcmp(link->driver, "none") == 0 || span_is_word(word, "tcp") ||
            ((span_is_word(word, "serial") || span_is_word(word, "usbtmc")) && is_device_file(path)))
            continue;
        link_fault(link, NULL, NULL, message, "the address '%s' of [%s] is no instrument to a browser", link->address, link->name);
        return status_remedy(message, "from a browser instruments are reached by `tcp`, or as /dev/tty…, /dev/serial/by-id/… and "
                                      "/dev/usbtmc…; others are the command line's: `rundown record`");
    }
    return STATUS_OK;
}
