import { type AnyCodec, type CvReader, defineCodec, defineCodecKind } from "cvset";

const form = /^([01]\d|2[0-3]):([0-5]\d)$/;

/**
 * A time of day, "07:30". Hours and minutes each take a byte, a decimal digit in each half of it; built-in codecs have
 * neither such digits nor a value made of two numbers.
 */
export const bcdClock = defineCodecKind({
  needs: { hours: "place", minutes: "place" },
  note: 'A time of day such as "07:30", in two bytes of two decimal digits each.',
  make({ hours, minutes }, about) {
    const digits = (value: number, most: number): string => {
      const text = value.toString(16).padStart(2, "0");
      if (!/^\d\d$/.test(text) || Number(text) > most) throw new Error(`${value} is not 0 to ${most} in decimal digits`);
      return text;
    };
    return defineCodec<string>({
      kind: "bcd-clock",
      places: [hours, minutes],
      about,
      read: (cvs: CvReader) => `${digits(hours.read(cvs), 23)}:${digits(minutes.read(cvs), 59)}`,
      write(cvs, value) {
        // The value can come from a file, and may be anything.
        const [, hour, minute] = form.exec(value) ?? [];
        if (typeof value !== "string" || hour === undefined || minute === undefined) {
          throw new Error('expected a time from "00:00" to "23:59"');
        }
        hours.write(cvs, Number.parseInt(hour, 16));
        minutes.write(cvs, Number.parseInt(minute, 16));
      },
      text: (value) => `${value} h`,
      schema: () => ({ type: "string", pattern: form.source }),
      json: () => ({ hours: hours.toJSON(), minutes: minutes.toJSON() }),
    }) as AnyCodec;
  },
});
