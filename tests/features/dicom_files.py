"""DICOM files made on the fly, with a patient who must not be seen again."""

from __future__ import annotations

import io

import numpy as np
from pydicom import Dataset
from pydicom.dataset import FileMetaDataset
from pydicom.uid import ExplicitVRLittleEndian

# DICOM PS3.4 table B.5-1: Digital Intra-Oral X-Ray Image Storage, for presentation, for processing
INTRAORAL = "1.2.840.10008.5.1.4.1.1.1.3"
INTRAORAL_PROCESSING = "1.2.840.10008.5.1.4.1.1.1.3.1"
PATIENT = {
    "PatientName": "Musterfrau^Erika",
    "PatientID": "PID-4711-0815",
    "PatientBirthDate": "19640812",
    "AccessionNumber": "ACC20260101",
    "InstitutionName": "Praxis Beispiel",
}


def dataset(stored, *, bits=None, syntax=ExplicitVRLittleEndian, **attributes):
    """An intraoral image of these stored values; attributes override or add (None removes)."""
    made = Dataset()
    made.file_meta = FileMetaDataset()
    made.file_meta.TransferSyntaxUID = syntax
    made.file_meta.MediaStorageSOPClassUID = INTRAORAL
    made.file_meta.MediaStorageSOPInstanceUID = made.SOPInstanceUID = "1.2.826.0.1.3680043.8.498.1"
    bits = bits or stored.dtype.itemsize * 8
    defaults = {
        "SOPClassUID": INTRAORAL,
        "Modality": "IO",
        "Rows": stored.shape[-2],
        "Columns": stored.shape[-1],
        "SamplesPerPixel": 1,
        "PhotometricInterpretation": "MONOCHROME2",
        "BitsAllocated": stored.dtype.itemsize * 8,
        "BitsStored": bits,
        "HighBit": bits - 1,
        "PixelRepresentation": int(stored.dtype.kind == "i"),
    }
    for keyword, value in (PATIENT | defaults | attributes).items():
        if value is not None:
            setattr(made, keyword, value)
    made.PixelData = stored.tobytes()
    made["PixelData"].VR = "OW" if stored.dtype.itemsize == 2 else "OB"
    return made


def as_bytes(made):
    """The dataset as a file."""
    buffer = io.BytesIO()
    made.save_as(buffer, enforce_file_format=True)
    return buffer.getvalue()


def dicom_bytes(stored, **attributes):
    """The two in one."""
    return as_bytes(dataset(stored, **attributes))


def ramp(height=48, width=64, top=4095, dtype=np.uint16):
    """Values from 0 (left) to `top` (right), the same in every row."""
    row = np.round(np.linspace(0, top, width)).astype(dtype)
    return np.tile(row, (height, 1))
