"""Value cases of the seal: hexadecimal to bytes and back, nothing computed."""

from __future__ import annotations

import base64

from haywright.gate.seal import cose, jws, keys


def ed25519(i):
    secret = bytes.fromhex(i["secret_key_hex"])
    message = bytes.fromhex(i["message_hex"])
    return {
        "public_key_hex": keys.public_half(secret).hex(),
        "signature_hex": keys.sign(message, secret).hex(),
    }


def jws_compact(i):
    secret = base64.urlsafe_b64decode(f"{i['jwk_d']}=")
    assert keys.base64url(keys.public_half(secret)) == i["jwk_x"]
    text = jws.compact(i["protected_header"].encode(), i["payload_text"].encode(), secret)
    return {"compact_jws": text}


def cose_signed(i):
    protected, payload = bytes.fromhex(i["protected_hex"]), i["payload_text"].encode()
    message = cose.sign1(
        payload,
        bytes.fromhex(i["secret_key_hex"]),
        protected=protected,
        unprotected={4: i["kid_text"].encode()},
    )
    return {
        "to_be_signed_hex": cose.to_be_signed(protected, payload).hex().upper(),
        "cose_hex": message.hex().upper(),
    }


def cose_tampered(i):
    public = bytes.fromhex(i["public_key_hex"])
    return {
        f"{which}_valid": cose.read1(bytes.fromhex(i[f"cose_hex_{which}"])).verifies(public)
        for which in ("original", "altered")
    }


def jws_length(i):
    return {"compact_chars": jws.compact_length(i["header_bytes"], i["payload_bytes"])}


CASES = {
    "value-ed25519-rfc8032-test1": ed25519,
    "value-ed25519-rfc8032-test2": ed25519,
    "value-jws-rfc8037-a4": jws_compact,
    "value-cose-sign1-ed25519": cose_signed,
    "value-cose-tamper": cose_tampered,
    "value-jws-length": jws_length,
}
